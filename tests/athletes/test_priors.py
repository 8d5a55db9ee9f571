"""Priors that the organisation's own athletes move, and what an unseen movement borrows."""

from __future__ import annotations

import datetime as dt
import math
import random
from dataclasses import replace
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes import curve_sights
from athletes.actions.athletes import create_athlete, update_athlete
from athletes.actions.capacities import recompute_capacities
from athletes.actions.priors import refit_priors, take_prior_snapshot
from athletes.calc.capacity import Work, load_for_repetitions, repetitions_at
from athletes.calc.fatigue import MULTIPLIER_MEDIANS
from athletes.calc.pooling import FEWEST_PEOPLE
from athletes.calc.tired import spent_of_people
from athletes.capacities import CURVE, Inputs, prior_of
from athletes.curve_sights import fitted_curves, sights_to_fit
from athletes.known import capacities_for
from athletes.models import (
    Absence,
    AbsenceAnswer,
    Athlete,
    Capacity,
    Observation,
    PriorSnapshot,
    WorkDone,
)
from athletes.queries import newest_prior
from programming.models import Movement
from services.changes.actions import LOW_PRIORITY
from services.changes.models import Change
from tests.athletes.calc.histories import BENCH
from tests.athletes.conftest import TODAY, Team
from tests.support.cast import make_cast
from tests.support.world import make_world

pytestmark = pytest.mark.django_db


def ten(team: Team, athlete: Athlete, movement: str) -> float:
    """Load in kg for ten repetitions as expected today."""
    key = (athlete.id, team.movement(movement))
    return load_for_repetitions(capacities_for([key[0]], [key[1]], TODAY)[key], 10.0)


def strong_house(
    team: Team, size: int, *, stronger: float = 1.3, women: float = 1.0, vague: bool = False
) -> list[Athlete]:
    """Athletes of 75 kg who bench more than the catalogue expects; every other one a woman.

    vague: told by a long set with six left, which says little.
    """
    rng = random.Random(4)
    made = []
    expected = Movement.objects.get(key="bench_press").prior["l10_per_body_mass"] * 75.0
    for n in range(size):
        sex = ("female", "male")[n % 2]
        athlete = create_athlete(
            actor=team.cast.coach.actor, name=f"Member {n}", location_id=team.cast.harbour.id, sex=sex
        )[0]
        team.weigh(athlete, 75.0)
        factor = stronger * (women if sex == "female" else 1.0) * math.exp(rng.gauss(0.0, 0.1))
        if vague:  # said 20, expected 21.5: 11.5 more than ten
            load = expected * factor * math.exp(-0.0265 * 11.5)
            team.test(athlete, "bench_press_barbell", 14, kind="with_rir", rir=6, load_kg=round(load, 1))
        else:
            team.test(athlete, "bench_press_barbell", 10, load_kg=round(expected * factor, 1))
        recompute_capacities(athlete_id=athlete.id, today=TODAY)
        made.append(athlete)
    return made


def test_too_few_athletes_change_nothing(inside: Team):
    """One less than needed: no snapshot, no change row."""
    strong_house(inside, FEWEST_PEOPLE - 1)
    Change.objects.all().delete()

    assert not refit_priors()
    assert PriorSnapshot.objects.count() == 1
    assert not Change.objects.exists()


def test_a_strong_house_moves_its_prior(inside: Team):
    """A newcomer is expected to be stronger, the spread is smaller; everybody is computed again, at low priority."""
    strong_house(inside, 24)
    inside.weigh(inside.bram, 75.0)
    before = ten(inside, inside.bram, "bench_press")
    others = ten(inside, inside.bram, "back_squat")
    Change.objects.all().delete()

    assert refit_priors()

    fit = PriorSnapshot.objects.get(number=2).document["movements"][str(inside.movement("bench_press"))][
        "fit"
    ]
    assert fit["people"] == 24
    assert 0.15 < fit["shift"] < 0.30  # ln 1.3 = 0.26
    assert fit["sd"] < 0.4
    assert ten(inside, inside.bram, "bench_press") > before * 1.08
    assert ten(inside, inside.bram, "back_squat") == pytest.approx(others)
    changes = Change.objects.filter(kind="athlete")
    assert {change.priority for change in changes} == {LOW_PRIORITY}
    assert changes.count() == Athlete.objects.count()


def test_a_second_run_changes_nothing(inside: Team):
    """Neither at once nor after everybody was computed with the new prior: sights move it, and not it itself."""
    athletes = strong_house(inside, 24, vague=True)
    assert refit_priors()
    told = PriorSnapshot.objects.get(number=2).document["movements"][str(inside.movement("bench_press"))][
        "fit"
    ]
    # Near ln 1.3 = 0.26: what is pooled are the sights, not estimates that the prior has drawn to itself (0.215).
    assert 0.235 < told["shift"] < 0.28
    assert not refit_priors()
    for athlete in athletes:
        assert recompute_capacities(athlete_id=athlete.id, today=TODAY)
    assert set(Capacity.objects.values_list("prior__number", flat=True)) == {2}

    assert not refit_priors()
    assert PriorSnapshot.objects.count() == 2


def test_men_and_women_where_it_is_given(inside: Team):
    """Women who bench 0.6 of the men there: expected so of the next woman, the middle of whoever does not say."""
    strong_house(inside, 40, stronger=1.0, women=0.6)
    assert refit_priors()
    expected = []
    for sex in ("male", "", "female"):
        inside.noor.refresh_from_db()
        update_athlete(
            actor=inside.cast.coach.actor, athlete=inside.noor, expected=inside.noor.version, sex=sex
        )
        inside.weigh(inside.noor, 75.0)
        expected.append(ten(inside, inside.noor, "bench_press"))

    assert expected[0] > expected[1] > expected[2]
    assert 0.55 < expected[2] / expected[0] < 0.8


def test_a_fit_outlives_a_new_movement_and_not_a_new_prior(inside: Team):
    """The snapshot that takes in a new movement keeps the fit; a prior that the staff changed drops it."""
    strong_house(inside, 24)
    assert refit_priors()
    bench = Movement.objects.get(key="bench_press")
    Movement.objects.create(
        org=inside.cast.org, key="log_press", name="Log press", pattern="vertical_push", prior=bench.prior
    )
    newer = take_prior_snapshot(org=inside.cast.org)
    assert "fit" in newer.document["movements"][str(bench.id)]

    Movement.objects.filter(id=bench.id).update(prior=bench.prior | {"l10_sd": 0.5})
    changed = take_prior_snapshot(org=inside.cast.org)
    assert "fit" not in changed.document["movements"][str(bench.id)]
    assert changed.number == newer.number + 1


def test_somebody_strong_in_presses_is_not_average_in_dips(inside: Team):
    """Two presses far above what people do: dips are expected above the prior, squats less so."""
    inside.weigh(inside.noor, 75.0)
    take_prior_snapshot(org=inside.cast.org)
    plain = {key: ten(inside, inside.noor, key) for key in ("dip", "back_squat", "bench_press")}
    inside.test(inside.noor, "bench_press_barbell", 10, load_kg=100.0)
    inside.test(inside.noor, "overhead_press_barbell", 10, load_kg=60.0)
    recompute_capacities(athlete_id=inside.noor.id, today=TODAY)

    ratio = {key: ten(inside, inside.noor, key) / plain[key] for key in plain}

    assert ratio["bench_press"] > 1.5
    assert 1.2 < ratio["dip"] < ratio["bench_press"]
    assert 1.02 < ratio["back_squat"] < ratio["dip"]
    # Another athlete lends nothing.
    inside.weigh(inside.bram, 75.0)
    assert ten(inside, inside.bram, "dip") == pytest.approx(plain["dip"])


@pytest.mark.parametrize("athletes", [1, 3])
def test_borrowing_costs_a_fixed_number_of_queries(inside: Team, athletes: int):
    """Five for any number of athletes and unseen movements."""
    take_prior_snapshot(org=inside.cast.org)
    movements = [inside.movement(key) for key in ("dip", "back_squat", "pull_up", "bench_press")]
    who = [inside.noor, inside.bram, inside.ayo][:athletes]
    for one in who:
        inside.test(one, "bench_press_barbell", 10, load_kg=60.0)
        recompute_capacities(athlete_id=one.id, today=TODAY)

    with CaptureQueriesContext(connection) as queries:
        found = capacities_for([one.id for one in who], movements, TODAY)

    assert len(found) == 4 * athletes
    assert len(queries) == 5


def test_the_newest_snapshot_is_asked_for_each_time(inside: Team):
    """Kept is only the document of the one read last: the next one is seen at once, and each organisation's own."""
    first = take_prior_snapshot(org=inside.cast.org)
    assert newest_prior() == first and newest_prior() is newest_prior()
    raised = {**first.document["movements"], "an invented one": None}
    PriorSnapshot.objects.create(
        org=inside.cast.org, number=first.number + 1, document={**first.document, "movements": raised}
    )
    second = newest_prior()
    assert second is not None and (second.number, second.document["movements"]) == (first.number + 1, raised)
    assert second == PriorSnapshot.objects.get(number=second.number)


def test_another_organisation_has_its_own_newest_snapshot(db: None):
    """Also where this process has read that of another one just before."""
    worlds = [make_world(), make_world()]
    for world in (*worlds, *worlds):
        with world.cast.inside():
            found, stored = newest_prior(), PriorSnapshot.objects.get()
            assert found == stored and found is not None
            assert (found.org_id, found.document) == (world.cast.org.id, stored.document)
    rival = make_cast()
    with rival.inside():
        assert newest_prior() is None


def bent(team: Team, size: int) -> None:
    """Athletes tested at two loads whose counts follow Wathan 1994, r = -ln((p - 0.488) / 0.538) / 0.075 at a share p
    of the maximum: more than the catalogue foresees at light loads.
    """
    rng = random.Random(6)
    for n in range(size):
        athlete = create_athlete(
            actor=team.cast.coach.actor, name=f"Bent {n}", location_id=team.cast.harbour.id
        )[0]
        maximum = 90.0 * math.exp(rng.gauss(0.0, 0.15))
        for share in (0.55, 0.85):
            count = round(-math.log((share - 0.488) / 0.538) / 0.075)
            load = round(share * maximum, 1)
            team.test(athlete, "bench_press_barbell", count, load_kg=load)
        recompute_capacities(athlete_id=athlete.id, today=TODAY)


def test_athletes_tell_how_the_curve_bends(inside: Team):
    """Who lifts 80 kg eight times is foreseen more at 55 kg than before; everybody is computed again; a second night
    without news changes nothing."""
    bent(inside, 24)
    inside.test(inside.bram, "bench_press_barbell", 8, load_kg=80.0)
    recompute_capacities(athlete_id=inside.bram.id, today=TODAY)

    def at_55() -> float:
        key = (inside.bram.id, inside.movement("bench_press"))
        found = repetitions_at(capacities_for([key[0]], [key[1]], TODAY)[key], 55.0)
        assert found.p50 is not None
        return found.p50

    before = at_55()
    Change.objects.all().delete()
    sights = sights_to_fit(TODAY)
    assert refit_priors(fitted_curves(sights))
    recompute_capacities(athlete_id=inside.bram.id, today=TODAY)

    newest = newest_prior()
    assert newest is not None
    key = str(inside.movement("bench_press"))
    curve = newest.document["movements"][key][CURVE]
    assert curve["asymptote_share"] > 0.1 and curve["people"] == 24
    assert at_55() > before + 1.0
    assert Change.objects.filter(kind="athlete", priority=LOW_PRIORITY).count() == Athlete.objects.count()
    number = newest.number
    refit_priors(fitted_curves(sights_to_fit(TODAY)))
    again = newest_prior()
    assert again is not None and again.document["movements"][key][CURVE] == curve
    assert again.number <= number + 1  # strength may be fitted anew, beside the new curve


def test_a_curve_is_read_in_a_fixed_number_of_queries(inside: Team):
    """Two for what is due, six for a movement, however many athletes."""
    bent(inside, 21)
    with CaptureQueriesContext(connection) as few:
        assert sights_to_fit(TODAY)
    bent(inside, 4)
    with CaptureQueriesContext(connection) as more:
        (found,) = sights_to_fit(TODAY).values()
    assert len(found.people) == 25 and found.stored == 50
    assert len(few) == len(more) <= 8


def test_turns_go_round(inside: Team, monkeypatch: pytest.MonkeyPatch):
    """With more movements than a night takes, each has its night."""
    monkeypatch.setattr(curve_sights, "FEWEST_PEOPLE", 1)
    monkeypatch.setattr(curve_sights, "MOST_CURVES", 1)
    keys = ("bench_press_barbell", "overhead_press_barbell", "leg_press_machine")
    for key in keys:
        inside.test(inside.bram, key, 8, load_kg=40.0)
    recompute_capacities(athlete_id=inside.bram.id, today=TODAY)
    nights = [sights_to_fit(TODAY + dt.timedelta(days=day)) for day in range(3)]
    assert all(len(one) == 1 for one in nights)
    assert len({movement for one in nights for movement in one}) == 3


def test_a_curve_outlives_a_new_movement_and_not_a_new_prior(inside: Team):
    """As a fit does; without new sights there is nothing to fit."""
    bent(inside, 24)
    assert refit_priors(fitted_curves(sights_to_fit(TODAY)))
    bench = Movement.objects.get(key="bench_press")
    Movement.objects.create(
        org=inside.cast.org, key="log_press", name="Log press", pattern="vertical_push", prior=bench.prior
    )
    newer = take_prior_snapshot(org=inside.cast.org)
    assert CURVE in newer.document["movements"][str(bench.id)]
    assert not sights_to_fit(TODAY)

    Movement.objects.filter(id=bench.id).update(prior=bench.prior | {"l10_sd": 0.5})
    changed = take_prior_snapshot(org=inside.cast.org)
    assert CURVE not in changed.document["movements"][str(bench.id)]


def test_who_tells_a_curve_and_by_what(inside: Team):
    """Not who was away; late failures with what was spent before them, as the sex spends it; work that is believed;
    and from the catalogue's curve on, not from that of the last fit."""
    bent(inside, 24)
    assert refit_priors(fitted_curves(sights_to_fit(TODAY)))
    bent(inside, 12)
    away, woman, doubted, *_ = Athlete.objects.filter(name__startswith="Bent").order_by("id")
    bench, when = inside.movement("bench_press"), TODAY - dt.timedelta(days=30)
    gone = Absence.objects.create(
        org=inside.cast.org, athlete=away, origin="reported", from_date=when, to_date=TODAY, peak_volumes={}
    )
    AbsenceAnswer.objects.create(
        org=inside.cast.org, athlete=away, absence=gone, trained=False, to_date=TODAY, local_date=TODAY,
        answered_by=inside.cast.coach.person,
    )  # fmt: skip
    Observation.objects.filter(athlete=woman).update(spent_least=2.0, spent_usual=3.0, spent_most=5.0)
    Athlete.objects.filter(id=woman.id).update(sex="female")
    for number, one in enumerate((woman, doubted)):
        WorkDone.objects.create(
            org=inside.cast.org, athlete=one, movement_id=bench, source="statement", source_id=uuid4(),
            local_date=TODAY, repetitions=30.0, failure_repetitions=40.0, doubted=bool(number),
            recorded_by=inside.cast.coach.person,
        )  # fmt: skip

    (found,) = sights_to_fit(TODAY).values()
    newest = newest_prior()
    assert newest is not None
    document = newest.document["movements"][str(bench)]
    assert found.stored == 72 and len(found.people) == 35
    spent = [one for one in found.people if one.observations[0].spent > 0.0]
    assert len(spent) == 1
    (worked,) = [one for one in found.people if one.work]
    assert worked is spent[0] and worked.work == [Work(TODAY.toordinal(), 30.0, 30.0)]
    mean, _ = spent_of_people((2.0, 3.0, 5.0), MULTIPLIER_MEDIANS["female"])
    assert spent[0].observations[0].spent == pytest.approx(mean, abs=1e-5)
    assert all(one.prior.log_k == pytest.approx(math.log(document["k"])) for one in found.people)
    assert {one.prior.misfit for one in found.people} == {1.0}


def test_a_prior_takes_the_whole_curve(inside: Team):
    """Bend, fall-off, its spread, the misfit and the gain, into capacity and its forecasts."""
    bent(inside, 24)
    assert refit_priors(fitted_curves(sights_to_fit(TODAY)))
    newest, key = newest_prior(), str(inside.movement("bench_press"))
    assert newest is not None
    curve = newest.document["movements"][key][CURVE]
    prior = prior_of(newest.document["movements"][key], 75.0)
    assert (prior.asymptote_share, prior.log_k) == (curve["asymptote_share"], curve["log_k"])
    assert (prior.log_k_sd, prior.misfit) == (curve["log_k_sd"], curve["misfit"])
    assert curve["misfit"] != 1.0
    grows = newest.document["movements"][key] | {CURVE: {**curve, "gain": 0.0004}}
    assert prior_of(grows, 75.0).gain == 0.0004
    inside.test(inside.bram, "bench_press_barbell", 8, load_kg=80.0)
    recompute_capacities(athlete_id=inside.bram.id, today=TODAY)
    known = capacities_for([inside.bram.id], [inside.movement("bench_press")], TODAY)
    assert [one.misfit for one in known.values()] == [curve["misfit"]]


def test_another_gain_is_another_input():
    one = Inputs(BENCH, (), 0, 1)
    assert one.fingerprint() != replace(one, prior=replace(BENCH, gain=0.0004)).fingerprint()
