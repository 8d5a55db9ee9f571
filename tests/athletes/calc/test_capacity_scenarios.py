"""What a coach would ask of the capacity: sore days, tests that are due, tests that contradict each other."""

import json
import math

import numpy as np
import pytest

from athletes.calc import capacity as c
from athletes.calc.capacity import (
    INTERVAL_GROWN,
    NEVER_OBSERVED,
    ONLY_LOWER_BOUNDS,
    Capacity,
    FallOff,
    Observation,
    Prior,
    Work,
    estimate_capacity,
    in_variation,
    is_seen,
    on_the_day,
    published_prior,
    repetitions_at,
)
from athletes.calc.soreness import effects_of, share_left
from tests.athletes.calc.histories import BENCH, history, person

PRESS: Prior = published_prior(20.0, FallOff.BENCH_LIKE)
"""People who press 20 kg ten times, two thirds of them 13 to 31 kg."""


def mean_at(capacity: Capacity, load: float) -> float:
    forecast = repetitions_at(capacity, load)
    assert forecast.mean is not None
    return forecast.mean


TWELVE_SETS = [Observation(day, 16.0, 10.0, "at_least", hour=18.0) for day in (1, 5, 9) for _ in range(4)]
USUAL = [Work(day, 40.0, hour=18.0) for day in (1, 5, 9)]
HARD = Work(12, 150.0, 150.0, hour=16.0)
SIX = Observation(13, 16.0, 6.0, "to_failure", hour=18.0)  # 26 hours after


def test_sets_stopped_early_are_lower_bounds_only() -> None:
    """Twelve sets stopped at ten where twenty are possible: at least ten, and a test is due."""
    capacity = estimate_capacity(PRESS, TWELVE_SETS, day=10, work=USUAL)
    forecast = repetitions_at(capacity, 16.0)

    assert c.test_due(capacity) == ONLY_LOWER_BOUNDS
    assert forecast.p10 > 9.0
    assert forecast.p90 > 20.0  # twenty stay possible


def test_a_set_on_a_sore_day_tells_of_that_day() -> None:
    """Six repetitions 26 hours after 150: the day is worse, a week later it is over."""
    before = estimate_capacity(PRESS, TWELVE_SETS, day=11, work=USUAL)
    sore = estimate_capacity(PRESS, [*TWELVE_SETS, SIX], day=13, work=[*USUAL, HARD])
    blind = estimate_capacity(PRESS, [*TWELVE_SETS, SIX], day=13, work=USUAL)

    today, long_term = mean_at(on_the_day(sore), 16.0), mean_at(sore, 16.0)
    later = mean_at(on_the_day(c.carried(sore, 20)), 16.0)
    assert today < 9.0 < long_term
    assert later == pytest.approx(mean_at(c.carried(sore, 20), 16.0), abs=0.3)
    # The sights before left 10 to 30 open; the six takes from that, but not the ten that were shown.
    assert long_term > repetitions_at(before, 16.0).p10
    assert long_term > mean_at(blind, 16.0) + 2.0
    # The six is the worst that can be said of them: the interval stays wide.
    assert c.test_due(sore) == INTERVAL_GROWN


def test_a_known_athlete_is_not_taken_for_weaker() -> None:
    """Twenty to failure shown before; six on the sore day costs the long-term capacity less than a repetition."""
    shown = [Observation(day, 16.0, 20.0, "to_failure") for day in (0, 4)]
    before = estimate_capacity(PRESS, shown, day=13, work=USUAL)
    after = estimate_capacity(PRESS, [*shown, SIX], day=13, work=[*USUAL, HARD])

    assert mean_at(after, 16.0) > mean_at(before, 16.0) - 1.0
    assert mean_at(on_the_day(after), 16.0) < 10.0
    assert mean_at(on_the_day(c.carried(after, 20)), 16.0) > 18.0


def test_soreness_is_foreseen() -> None:
    """Before anything is seen of it: lower the day after, back after a week, nothing within the session."""
    shown = [Observation(day, 16.0, 20.0, "to_failure") for day in (0, 4)]
    capacity = estimate_capacity(PRESS, shown, day=12, work=[*USUAL, HARD])
    rested = mean_at(capacity, 16.0)

    assert mean_at(on_the_day(capacity, hour=17.0), 16.0) == rested
    assert mean_at(on_the_day(c.carried(capacity, 13)), 16.0) < rested - 4.0
    assert mean_at(on_the_day(c.carried(capacity, 20)), 16.0) == pytest.approx(rested, abs=0.3)


def test_which_work_is_hard() -> None:
    """Twice the median session of four weeks, thirty repetitions at least; or thirty to failure."""
    usual = [Work(day, 40.0) for day in (0, 7, 14)]

    def after(
        repetitions: float, failed: float = 0.0, before: list[Work] = usual
    ) -> list[tuple[float, bool]]:
        return [(e.mean, e.unusual) for e in effects_of([*before, Work(20, repetitions, failed)])]

    assert after(79.0) == []
    assert after(80.0) == [(pytest.approx(0.10), True)]  # twice: half of 0.20
    assert after(160.0) == after(500.0) == [(pytest.approx(0.20), True)]
    assert after(40.0, 30.0) == [(0.03, False)]
    assert after(40.0, 29.0) == []
    assert after(29.0, 0, [Work(0, 5.0)]) == []
    assert after(99.0, 0, []) == []
    assert after(100.0, 0, []) == [(0.20, True)]
    assert after(80.0, 0, [Work(-9, 40.0)]) == []  # 29 days before: nothing is known of what is usual
    assert effects_of([]) == []
    assert share_left(np.array([-5.0, 0.0, 2.9, 3.0, 24.0, 48.0, 72.0, 169.0])) == pytest.approx(
        [0, 0, 0, 1, 1, 0.5, 0.25, 0]
    )


def test_due() -> None:
    """Never seen, only bounds, or an interval that has grown; not right after a test."""
    tested = estimate_capacity(BENCH, [Observation(0, 80.0, 10.0, "to_failure")], day=0)

    assert c.test_due(estimate_capacity(BENCH, [], day=0)) == NEVER_OBSERVED
    assert c.test_due(tested) is None
    assert c.test_due(c.carried(tested, 60)) is None
    assert c.test_due(c.carried(tested, 180)) == INTERVAL_GROWN
    seen, away = [Observation(0, 80.0, 10.0, "to_failure")], [c.Absence(1, 60)]
    assert c.test_due(estimate_capacity(BENCH, seen, day=60, absences=away)) == INTERVAL_GROWN


@pytest.mark.parametrize(
    ("seen", "pairs"),
    [
        ([Observation(3, 80.0, 1.0, "one_rm"), Observation(9, 82.5, 10.0, "to_failure")], ((3, 9),)),
        ([Observation(9, 80.0, 1.0, "one_rm"), Observation(3, 82.5, 10.0, "at_least")], ((3, 9),)),
        ([Observation(3, 80.0, 0.0, "zero"), Observation(9, 80.0, 12.0, "to_failure")], ((3, 9),)),
        ([Observation(3, 110.0, 1.0, "one_rm"), Observation(9, 82.5, 10.0, "to_failure")], ()),
        ([Observation(3, 80.0, 1.0, "one_rm"), Observation(70, 82.5, 10.0, "to_failure")], ()),
        ([Observation(3, 80.0, 8.0, "to_failure"), Observation(9, 80.0, 12.0, "to_failure")], ()),
        ([Observation(3, 120.0, 1.0, "one_rm"), Observation(9, 80.0, 2.0, "at_least")], ()),
        ([Observation(3, 80.0, 10.0, "to_failure")], ()),
        ([], ()),
    ],
)
def test_contradictory_tests(seen: list[Observation], pairs: tuple[tuple[int, int], ...]) -> None:
    """A maximum below what was lifted for ten, in either order; and what differs only as people do does not."""
    capacity = estimate_capacity(BENCH, seen, day=80)

    assert capacity.contradictions == pairs
    assert np.isfinite(capacity.mean).all()


def test_honest_histories_do_not_contradict() -> None:
    """Of 200 histories of the model's own people, fifteen sights each, at most one in twenty is accused."""
    rng = np.random.default_rng(7)
    accused = 0
    for _ in range(200):
        who = person(rng)
        near = math.exp(who.log_l10)
        told = history(rng, who, [0.8 * near, near, 1.1 * near], 15, days=40)
        seen = [Observation(o.day, o.load_kg, o.repetitions, o.kind, o.rir) for o in told]
        accused += bool(estimate_capacity(BENCH, seen, day=40).contradictions)

    assert accused <= 10


def test_at_most_three_contradictions_and_the_newest() -> None:
    """A log of nonsense names three pairs, not hundreds."""
    seen = [Observation(day, 80.0, 25.0 * (day % 2) + 1.0, "to_failure") for day in range(20)]

    pairs = estimate_capacity(BENCH, seen, day=30).contradictions
    assert len(pairs) == len(set(pairs)) == 3
    assert all(later == 19 for _, later in pairs)


def test_a_variation_never_seen() -> None:
    """It gets the movement's capacity, wider; whoever was never seen at all keeps the prior."""
    seen = [Observation(0, 60.0, 15.0, "to_failure", variation="floor")]
    capacity = estimate_capacity(BENCH, seen, day=0)
    unseen = in_variation(capacity, "rings")

    assert is_seen(capacity, "floor")
    assert not is_seen(capacity, "rings")
    assert in_variation(capacity, "floor") is capacity
    assert repetitions_at(unseen, 60.0).sd > repetitions_at(capacity, 60.0).sd + 0.3
    prior = estimate_capacity(BENCH, [], day=0)
    assert in_variation(prior, "rings") is prior
    assert not is_seen(prior, "")


def test_all_of_it_is_stored() -> None:
    """Offsets, soreness and contradictions read back bit for bit; a document of the first method reads as none."""
    seen = [
        Observation(0, 60.0, 15.0, "to_failure", variation="floor"),
        Observation(1, 60.0, 30.0, "to_failure", variation="rings"),
        Observation(1, 60.0, 2.0, "to_failure", variation="floor"),
        Observation(3, 60.0, 9.0, "to_failure", variation="floor"),
    ]
    capacity = estimate_capacity(BENCH, seen, day=3, work=[Work(2, 200.0)], absences=[c.Absence(5, 40)])
    assert capacity.offsets
    assert capacity.soreness
    assert capacity.contradictions
    stored = c.to_json(capacity)
    read = c.from_json(json.loads(json.dumps(stored, allow_nan=False)))

    assert c.to_json(read) == stored
    first = {
        key: stored[key]
        for key in ("k_nodes", "weight", "mean", "var", "tested_log_loads", "day", "asymptote_share")
    }
    old = c.from_json(first | {"observations": 2})
    assert (old.reference, old.offsets, old.soreness, old.contradictions, old.absences) == (
        "",
        (),
        None,
        (),
        (),
    )
    for broken in (
        {"offsets": []}, {"offsets": {"x": {"mean": [0.0]}}}, {"soreness": 3}, {"soreness": {"at_hour": "x"}},
        {"contradictions": [[1]]}, {"contradictions": {}},
    ):  # fmt: skip
        with pytest.raises(ValueError, match="must"):
            c.from_json(stored | broken)
