"""What else is unknown beside strength, against brute force: reserve, variations, absence, soreness, body mass.

Mean within 2 %, SD within 5 % as in test_capacity_quadrature, below five repetitions the mean within 2 % of the SD,
below a tenth as such.
"""

import math

import numpy as np
import pytest

from athletes.calc.capacity import Capacity, Observation, Prior, estimate_capacity, repetitions_at
from athletes.calc.carry import after_body_mass, carried, in_variation, on_the_day
from athletes.calc.decay import Absence
from athletes.calc.joint import filter_jointly
from athletes.calc.pair import BLOCK, filter_block, filter_pair
from athletes.calc.record import as_record
from athletes.calc.soreness import Work
from tests.athletes.calc.histories import BENCH, history, person
from tests.oracles.capacity_quadrature import Posterior, Story, posterior

NEAR = (BENCH.log_l10 - 2.0, BENCH.log_l10 + 2.0)


def test_prior() -> None:
    """A prior alone is what the grid says of it, so that the comparisons below start from the same."""
    same(estimate_capacity(BENCH, [], day=0), posterior(BENCH, [], 0, NEAR))


def same(capacity: Capacity, brute: Posterior, loads: tuple[float, ...] = (60.0, 75.0)) -> None:
    for load in loads:
        forecast = repetitions_at(capacity, load)
        mean, sd = brute.moments(load)
        if mean < 0.1:
            assert forecast.mean == pytest.approx(mean, abs=0.01), load
            continue
        assert forecast.mean == pytest.approx(mean, abs=0.02 * (mean if mean >= 5 else sd)), load
        assert forecast.sd == pytest.approx(sd, rel=0.05), load


def failed(
    day: int, load: float, count: float, variation: str = "", hour: float = 12.0, mass: float | None = None
) -> Observation:
    return Observation(day, load, count, "to_failure", None, 1.0, variation, hour, mass)


@pytest.mark.parametrize("seed", range(2))
def test_two_variations(seed: int) -> None:
    """The reference, another one that was seen, and one that never was."""
    rng = np.random.default_rng(seed)
    who = person(rng, Prior(BENCH.log_l10, 0.2, BENCH.log_k, BENCH.log_k_sd))
    told = history(rng, who, [60, 70, 80], 7, kinds=("to_failure", "at_least"), days=40)
    seen = [
        Observation(o.day, o.load_kg, o.repetitions, o.kind, variation="narrow" if n % 3 == 0 else "wide")
        for n, o in enumerate(told)
    ]
    capacity = estimate_capacity(BENCH, seen, day=50)
    story = Story(reference=capacity.reference, values=11, points=600)
    other = ({"narrow", "wide"} - {capacity.reference}).pop()

    same(capacity, posterior(BENCH, seen, 50, NEAR, story))
    same(in_variation(capacity, other), posterior(BENCH, seen, 50, NEAR, story, variation=other))
    unseen = in_variation(capacity, "decline")
    assert unseen.var == pytest.approx(capacity.var + 0.05**2)
    assert (unseen.mean == capacity.mean).all()


def test_reserve_is_learned_beside_tests() -> None:
    """Somebody who has four more in them than they say, time and again, is believed to have more than one."""
    said = [Observation(day, 70.0, 8.0, "rir", 2.0) for day in (1, 8, 15)]
    tests = [failed(day, 70.0, 14.0) for day in (2, 9, 16)]
    honest = [failed(day, 70.0, 10.0) for day in (2, 9, 16)]
    for known in (tests, honest):
        same(estimate_capacity(BENCH, said + known, day=20), posterior(BENCH, said + known, 20, NEAR))
    # What is not told apart from strength stays as people in general have it.
    same(estimate_capacity(BENCH, said, day=20), posterior(BENCH, said, 20, NEAR))


@pytest.mark.parametrize("inside", [True, False])
def test_absence(inside: bool) -> None:
    """Confirmed absence between two tests, or after the last."""
    away = Absence(20, 61) if inside else Absence(71, 112)
    seen = [failed(5, 75.0, 12.0), failed(9, 60.0, 20.0), failed(70, 75.0, 9.0)]
    story = Story(away=[(away.from_day, away.to_day)])

    same(estimate_capacity(BENCH, seen, day=113, absences=[away]), posterior(BENCH, seen, 113, NEAR, story))


def test_twenty_four_silent_days() -> None:
    """Confirmed as absence they lower the mean by about 5 % and widen it more than time alone does.

    0.30 (1 - exp(-17 / 100)) = 0.0469, worked by hand.
    """
    seen = [failed(0, 75.0, 12.0)]
    trained = estimate_capacity(BENCH, seen, day=25)
    away = estimate_capacity(BENCH, seen, day=25, absences=[Absence(1, 24)])

    assert trained.weight @ trained.mean - away.weight @ away.mean == pytest.approx(0.0469, abs=1e-4)
    assert (away.var > trained.var).all()
    before, after = (repetitions_at(one, 75.0) for one in (trained, away))
    assert after.mean < before.mean - 1.0
    assert after.sd > before.sd


def test_the_first_week_takes_nothing_and_touching_absences_are_one() -> None:
    """A week off costs nothing; one stretch told in two pieces is one stretch."""

    def after(day: int, *absences: Absence) -> Capacity:
        return carried(estimate_capacity(BENCH, [failed(0, 75.0, 12.0)], day=0, absences=absences), day)

    known = after(0)
    assert (after(8, Absence(1, 7)).mean == known.mean).all()
    whole = after(40, Absence(1, 30))
    pieces = after(40, Absence(12, 30), Absence(1, 14), Absence(3, 5))
    assert pieces.mean == pytest.approx(whole.mean)
    assert pieces.var == pytest.approx(whole.var)
    assert (carried(known, -3) is known) and (carried(known, 0) is known)


@pytest.mark.parametrize("after", [[], [failed(40, 60.0, 15.0)], [failed(31, 60.0, 8.0)]])
def test_soreness(after: list[Observation]) -> None:
    """Six repetitions the day after 150: the capacity without soreness, and that of the day."""
    seen = [failed(3, 60.0, 18.0), failed(30, 60.0, 6.0, hour=18.0), *after]
    usual = [Work(day, 40.0) for day in (3, 8, 12, 20)]
    hard = Work(29, 150.0, 150.0, hour=16.0)
    day = 31 if not after else after[0].day
    # 150 / 40 = 3.75 times the usual: 0.5 log2(3.75) of the full effect.
    share = 0.5 * math.log2(3.75)
    story = Story(sore=(24 * 29 + 16.0, share * 0.20, share * 0.15), values=31, points=600)
    capacity = estimate_capacity(BENCH, seen, day=day, work=[*usual, hard])

    same(capacity, posterior(BENCH, seen, day, NEAR, story))
    same(on_the_day(capacity), posterior(BENCH, seen, day, NEAR, story, felt=True))


NODES = BLOCK + 3


@pytest.mark.parametrize("seed", range(4))
def test_the_pair_written_out_is_the_joint_filter(seed: int) -> None:
    """The fast filter for one unknown and the one for any number give the same, at more nodes than it takes at once
    and over more sights than one product of likelihoods can hold."""
    rng = np.random.default_rng(seed)
    who = person(rng)
    seen = [
        *history(rng, who, [60, 70, 80, 100], 14 + 60 * (seed > 1)),
        Observation(20, 70.0, 9.0, "rir", 2.0),
    ]
    if seed % 2:
        seen = [
            Observation(o.day, o.load_kg, o.repetitions, o.kind, o.rir, o.weight, "ab"[n % 2])
            for n, o in enumerate(seen)
            if o.kind != "rir"
        ]
    record = as_record(seen, [Absence(10, 40)])
    assert record.ties.aux_sd.size == 1
    arguments = (
        np.geomspace(0.02, 0.03, NODES), 0.2 * (seed > 1), np.linspace(4.3, 4.4, NODES), 0.2, 1 + seed % 3,
        record.history, record.ties,
    )  # fmt: skip

    pair, joint = filter_pair(*arguments), filter_jointly(*arguments)

    for quick, slow in zip(pair, joint[:3], strict=True):
        assert quick == pytest.approx(slow, rel=1e-8, abs=1e-10)
    block = [part[:5] if isinstance(part, np.ndarray) else part for part in arguments]
    assert filter_block(*block) == pytest.approx(filter_block.py_func(*block), rel=1e-8, abs=1e-10)


def test_two_unknowns_at_once() -> None:
    """Reserve and another variation in one history against brute force."""
    seen = [
        failed(2, 70.0, 12.0, "floor"), failed(9, 70.0, 13.0, "floor"), failed(4, 75.0, 12.0, "floor"),
        failed(11, 60.0, 12.0, "feet"), Observation(15, 70.0, 10.0, "rir", 2.0, variation="floor"),
        Observation(18, 65.0, 10.0, "rir", 3.0, variation="feet"),
    ]  # fmt: skip
    story = Story(reference="floor", values=7, points=500)
    capacity = estimate_capacity(BENCH, seen, day=20)
    assert [name for name, _ in capacity.offsets] == ["feet"]

    same(capacity, posterior(BENCH, seen, 20, NEAR, story))
    same(in_variation(capacity, "feet"), posterior(BENCH, seen, 20, NEAR, story, variation="feet"))


def test_a_change_of_body_mass_widens() -> None:
    """30 % more body mass between two tests: the first tells less of today than with the same mass."""
    steady = [failed(0, 60.0, 20.0, mass=70.0), Observation(30, 60.0, 5.0, "at_least", body_mass_kg=70.0)]
    changed = [failed(0, 60.0, 20.0, mass=70.0), Observation(30, 60.0, 5.0, "at_least", body_mass_kg=91.0)]

    before, after = (estimate_capacity(BENCH, seen, day=30) for seen in (steady, changed))

    assert after_body_mass(after, 91.0, 80.0) is after  # an eighth is none
    assert after_body_mass(after, 91.0, 70.0).var == pytest.approx(after.var + (0.5 * math.log(1.3)) ** 2)
    # (0.5 ln 1.3)^2 = 0.0172 by hand; the bound of five repetitions tells next to nothing.
    assert float(after.weight @ after.var - before.weight @ before.var) == pytest.approx(0.0172, abs=1e-3)
