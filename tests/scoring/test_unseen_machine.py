"""What is foretold of who was never seen on a machine is as wide as people are; tests make it narrow."""

from dataclasses import replace

import numpy as np
import pytest

from athletes.calc.critical import estimate_critical
from athletes.calc.trials import Trial
from programming.calc.revision import Aim, EndRule
from scoring.working_out import Known, work_out
from tests.scoring.test_candidates import ACCOMPANIED, plan

PEOPLE = 4000
TEN_MINUTES = 600.0


def session_of():
    """As many kilocalories on the rowing machine as ten minutes give."""
    session = plan("row_machine", items={"rowing_machine": {}, "bar_floor": {}, "rings": {}})
    block = session.block
    item = replace(block.work[0], unit="energy_kcal", amount=None)
    end = EndRule("fixed_time", time_s=TEN_MINUTES)
    rules = replace(block.rules, order="in_sequence", end=end, scored="energy", tie_break="none")
    rules = replace(rules, break_rule=replace(rules.break_rule, counts="none", penalty_s=0.0))
    block = replace(block, work=(item,), rules=rules, aim=Aim(()))
    return replace(session, doc=replace(session.doc, blocks=(block,)))


SESSION = session_of()
MACHINE = SESSION.movement("a")
START = MACHINE.prior.at(80.0)
DAY = SESSION.local_date.toordinal()


def foretold(*trials):
    """The forecast of who did these trials a week ago, and nothing else ever."""
    state = estimate_critical(START, trials, day=DAY)
    (result,) = work_out(SESSION, ACCOMPANIED, Known({MACHINE.id: state})).results.values()
    return result.forecast


def capable(critical, reserve):
    """Kilocalories of ten minutes all out, by the model itself."""
    per_kcal = next(iter(SESSION.ladder("a"))).variation.work_j_per_kcal
    return (reserve + critical * TEN_MINUTES) / per_kcal


def test_of_people_as_they_are_eight_in_ten_end_inside_the_interval():
    """Four thousand drawn from what is taken of people in general, against the forecast of one unseen."""
    random = np.random.default_rng(2026)
    critical = np.exp(START.log_critical + START.log_critical_sd * random.standard_normal(PEOPLE))
    reserve = np.exp(START.log_reserve + START.log_reserve_sd * random.standard_normal(PEOPLE))
    done, told = capable(critical, reserve), foretold()

    assert np.mean((done >= told.p10) & (done <= told.p90)) == pytest.approx(0.80, abs=0.03)
    assert np.mean(done < told.p50) == pytest.approx(0.50, abs=0.03)


def test_three_tests_tell_what_the_prior_does_not():
    """Three trials of an ordinary athlete: the interval is less than a quarter as wide, and right."""
    critical, reserve = np.exp(START.log_critical), np.exp(START.log_reserve)
    trials = [Trial(DAY - 7, reserve + critical * seconds, seconds) for seconds in (180.0, 420.0, 900.0)]
    unseen, tested = foretold(), foretold(*trials)

    assert (tested.p90 - tested.p10) < 0.25 * (unseen.p90 - unseen.p10)
    assert tested.p10 < capable(critical, reserve) < tested.p90
