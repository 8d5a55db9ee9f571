"""What must hold of every capacity, whatever was seen."""

import dataclasses
import json
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from athletes.calc.capacity import (
    BEYOND_CURVE,
    MOST_REPETITIONS,
    Capacity,
    FallOff,
    Observation,
    Prior,
    estimate_capacity,
    from_json,
    load_for_repetitions,
    one_rm,
    published_prior,
    repetitions_at,
    sample_lifts,
    sample_lifts_at,
    to_json,
)
from athletes.calc.curve import drop, repetitions
from athletes.calc.observation import KINDS, day_noise
from athletes.calc.predict import probability_of_count
from tests.athletes.calc.histories import BENCH, history, person
from tests.support.examples import examples

TODAY = 100
loads = st.floats(20.0, 250.0)


@st.composite
def observations(draw: st.DrawFn) -> Observation:
    """Anything that can have been seen, contradictions included."""
    kind = draw(st.sampled_from(KINDS))
    return Observation(
        draw(st.integers(0, TODAY)),
        draw(loads),
        1.0 if kind == "one_rm" else 0.0 if kind == "zero" else float(draw(st.integers(0, 60))),
        kind,
        float(draw(st.integers(0, 10))) if kind == "rir" else None,
        draw(st.sampled_from([1.0, 0.3])),
    )


histories = st.lists(observations(), max_size=8)


def mean_at(capacity: Capacity, load: float) -> float:
    """Repetitions; where the load is too light for the curve to tell any, more than it tells of others."""
    forecast = repetitions_at(capacity, load)
    if forecast.reason == BEYOND_CURVE:
        return MOST_REPETITIONS
    assert forecast.mean is not None
    return forecast.mean


@given(seen=histories, load=loads)
def test_always_a_proper_forecast(seen: list[Observation], load: float) -> None:
    """Any history, however contradictory, gives finite numbers, ordered percentiles and probabilities."""
    capacity = estimate_capacity(BENCH, seen, day=TODAY)
    forecast = repetitions_at(capacity, load)

    for name in ("k_nodes", "weight", "mean", "var"):
        assert np.isfinite(getattr(capacity, name)).all()
    assert capacity.weight.sum() == pytest.approx(1.0)
    assert (capacity.var > 0).all()
    assert 0.0 <= forecast.p10 <= forecast.p50 <= forecast.p90 <= MOST_REPETITIONS
    assert 0.0 <= forecast.mean <= MOST_REPETITIONS
    assert math.isfinite(forecast.sd)
    assert forecast.probability(None, None) == 1.0
    maximum = one_rm(capacity)
    assert 0.0 < maximum.lo_kg <= maximum.kg <= maximum.hi_kg < math.inf
    assert 0.0 < load_for_repetitions(capacity, 10.0) < math.inf


@given(seen=histories, low=loads, share=st.floats(1.01, 3.0))
def test_heavier_is_never_easier(seen: list[Observation], low: float, share: float) -> None:
    """A higher load leaves no more repetitions."""
    capacity = estimate_capacity(BENCH, seen, day=TODAY)

    assert mean_at(capacity, low * share) <= mean_at(capacity, low) + 1e-6


@settings(max_examples=examples(16))
@given(
    seed=st.integers(0, 10_000),
    away=st.floats(-0.2, 0.2),
    count=st.integers(0, 25),
    more=st.integers(1, 4),
    kind=st.sampled_from(["to_failure", "at_least"]),
)
def test_more_repetitions_are_not_weaker(seed: int, away: float, count: int, more: int, kind: str) -> None:
    """One set with more repetitions at the same load never lowers what is expected there.

    Of histories that one person can have, and up to twice what was expected and ten: the noise of a count grows
    with it, so that an implausible one rightly counts less.
    """
    rng = np.random.default_rng(seed)
    who = person(rng)
    load = math.exp(who.log_l10 + away)
    seen = history(rng, who, [load * 0.9, load, load * 1.1], int(rng.integers(0, 5)))
    expected = mean_at(estimate_capacity(BENCH, seen, day=TODAY), load)
    if count + more > 2 * expected + 10:
        return
    before, after = (
        mean_at(estimate_capacity(BENCH, [*seen, Observation(TODAY, load, float(r), kind)], day=TODAY), load)
        for r in (count, count + more)
    )

    assert after >= before - 1e-3


@given(seen=histories, load=loads, factor=st.sampled_from([1 / 0.45359237, 0.1, 1.7]))
def test_units_do_not_matter(seen: list[Observation], load: float, factor: float) -> None:
    """Pounds instead of kilograms, in prior, history and load, give the same repetitions."""
    scaled_prior = dataclasses.replace(BENCH, log_l10=BENCH.log_l10 + math.log(factor))
    scaled = [dataclasses.replace(o, load_kg=o.load_kg * factor) for o in seen]

    in_kg = repetitions_at(estimate_capacity(BENCH, seen, day=TODAY), load)
    in_other = repetitions_at(estimate_capacity(scaled_prior, scaled, day=TODAY), load * factor)

    assert in_other.mean == pytest.approx(in_kg.mean, rel=1e-5, abs=1e-6)
    assert in_other.sd == pytest.approx(in_kg.sd, rel=1e-4, abs=1e-6)


@given(seen=histories, data=st.data())
def test_order_of_entry_does_not_matter(seen: list[Observation], data: st.DataObject) -> None:
    """Entries may come late and in any order."""
    shuffled = data.draw(st.permutations(seen))

    assert to_json(estimate_capacity(BENCH, shuffled, day=TODAY)) == to_json(
        estimate_capacity(BENCH, seen, day=TODAY)
    )


@settings(max_examples=examples(12))
@given(seed=st.integers(0, 10_000))
def test_easy_sets_tell_nothing(seed: int) -> None:
    """A planned set far below what was shown changes next to nothing, in histories that one person can have."""
    rng = np.random.default_rng(seed)
    seen = [
        Observation(55, 80.0, 12.0, "to_failure"),
        *history(rng, person(rng), [70.0, 80.0], 2, kinds=["one_rm"], days=50),
    ]
    easy = Observation(58, 60.0, 3.0, "at_least")
    known = estimate_capacity(BENCH, seen, day=TODAY)
    if known.contradictions:
        return

    before = repetitions_at(known, 80.0)
    after = repetitions_at(estimate_capacity(BENCH, [*seen, easy], day=TODAY), 80.0)

    assert after.mean == pytest.approx(before.mean, abs=0.02)
    assert after.sd == pytest.approx(before.sd, abs=0.02)


def test_later_observations_are_not_used() -> None:
    """A capacity as of a day knows nothing of the days after it."""
    early, late = Observation(10, 80.0, 8.0, "to_failure"), Observation(20, 80.0, 15.0, "to_failure")

    assert to_json(estimate_capacity(BENCH, [early, late], day=15)) == to_json(
        estimate_capacity(BENCH, [early], day=15)
    )


def test_time_widens() -> None:
    """Without news the spread grows and the centre stays."""
    seen = [Observation(10, 80.0, 8.0, "to_failure")]
    soon, later = (repetitions_at(estimate_capacity(BENCH, seen, day=day), 80.0) for day in (10, 200))

    assert later.sd > soon.sd
    assert later.p50 == pytest.approx(soon.p50, abs=0.05)


def test_weak_evidence_moves_less() -> None:
    """A set that pain ended lifts the estimate less than one that was stopped as planned, a lower weight
    too."""
    known = [Observation(0, 80.0, 8.0, "to_failure")]

    def lifted(kind: str, weight: float = 1.0) -> float:
        seen = [*known, Observation(1, 80.0, 11.0, kind, None, weight)]
        return mean_at(estimate_capacity(BENCH, seen, day=1), 80.0)

    unmoved = mean_at(estimate_capacity(BENCH, known, day=1), 80.0)
    assert unmoved < lifted("at_least_weak") < lifted("at_least", 0.5) < lifted("at_least")


def test_sets_of_none() -> None:
    """At least none tells nothing; none to failure is a missed single."""
    nothing = estimate_capacity(BENCH, [Observation(0, 80.0, 0.0, "at_least")], day=0)
    missed, failed = (
        estimate_capacity(BENCH, [Observation(0, 80.0, 0.0, kind)], day=0) for kind in ("zero", "to_failure")
    )

    assert mean_at(nothing, 80.0) == pytest.approx(mean_at(estimate_capacity(BENCH, [], day=0), 80.0))
    assert mean_at(missed, 80.0) == mean_at(failed, 80.0) < mean_at(nothing, 80.0)


@given(seen=histories)
def test_json_round_trip(seen: list[Observation]) -> None:
    """What is stored reads back bit for bit."""
    capacity = estimate_capacity(BENCH, seen, day=TODAY)
    stored = json.loads(json.dumps(to_json(capacity), allow_nan=False))

    assert to_json(from_json(stored)) == to_json(capacity)


@pytest.mark.parametrize(
    "broken",
    [
        {"k_nodes": [0.02]},
        {"weight": "x"},
        {"mean": [True]},
        {"var": []},
        {"day": 1.5},
        {"asymptote_share": 1.0},
        {"tested_log_loads": [None]},
    ],
)
def test_stored_state_is_checked(broken: dict[str, object]) -> None:
    """A document that cannot have been written by to_json raises ValueError."""
    good = to_json(estimate_capacity(BENCH, [], day=0))

    with pytest.raises(ValueError, match="must"):
        from_json(good | broken)


def test_samples_follow_the_forecast() -> None:
    """Stratified scenarios have the forecast's mean, SD and percentiles, and a heavier load takes from
    each."""
    seen = [Observation(0, 80.0, 12.0, "to_failure"), Observation(9, 100.0, 3.0, "to_failure")]
    capacity = estimate_capacity(BENCH, seen, day=10)
    rng = np.random.default_rng(1)
    side = (np.arange(100) + 0.5) / 100
    u = np.stack(np.meshgrid(side, side), axis=-1).reshape(-1, 2)
    drawn, heavier = sample_lifts(capacity, 90.0, u).repetitions, sample_lifts(capacity, 95.0, u).repetitions
    forecast = repetitions_at(capacity, 90.0)

    assert drawn.mean() == pytest.approx(forecast.mean, rel=0.01)
    assert drawn.std() == pytest.approx(forecast.sd, rel=0.03)
    assert np.quantile(drawn, [0.1, 0.5, 0.9]) == pytest.approx(
        [forecast.p10, forecast.p50, forecast.p90], abs=0.15
    )
    assert np.mean((drawn >= 5) & (drawn <= 9)) == pytest.approx(forecast.probability(5, 9), abs=0.02)
    assert (heavier <= drawn).all()
    with pytest.raises(ValueError, match="u must"):
        sample_lifts(capacity, 90.0, rng.random((4, 3)))


@pytest.mark.parametrize("asymptote", [0.0, 0.2])
def test_who_is_drawn_is_the_same_at_every_load(asymptote: float) -> None:
    """Each person's curve, by the ratio of loads: L = S (a + (1 - a) e^(-k n)), and as many repetitions as are drawn
    take the strength down to the load.
    """
    prior = published_prior(80.0, FallOff.BENCH_LIKE, asymptote_share=asymptote)
    capacity = estimate_capacity(prior, [Observation(0, 80.0, 12.0, "to_failure")], day=10)
    u = np.random.default_rng(4).random((300, 2))
    loads = (60.0, 75.0, 90.0)
    found = sample_lifts_at(capacity, loads, u)

    for load_kg, drawn in zip(loads, found, strict=True):
        alone = sample_lifts(capacity, load_kg, u)
        assert (alone.repetitions == drawn.repetitions).all()
        done = (drawn.repetitions > 0.0) & (drawn.repetitions < MOST_REPETITIONS)
        assert done.mean() > 0.5
        node = np.minimum(np.searchsorted(np.cumsum(capacity.weight), u[:, 0]), capacity.weight.size - 1)
        left = asymptote + (1.0 - asymptote) * np.exp(-capacity.k_nodes[node] * drawn.repetitions)
        fallen = drawn.per_repetition * drawn.repetitions
        assert np.exp(-fallen)[done] == pytest.approx(left[done], rel=1e-12)
    lighter, heavier = found[0].repetitions, found[2].repetitions
    assert (lighter > heavier).mean() > 0.9


def test_beyond_the_asymptote() -> None:
    """At and below the asymptote there is no forecast but a reason; above it a finite one; samples stay
    finite."""
    prior = published_prior(50.0, FallOff.GENERAL, log_l10_sd=0.05, asymptote_share=0.4)
    capacity = estimate_capacity(prior, [], day=0)
    light, heavy = repetitions_at(capacity, 20.0), repetitions_at(capacity, 45.0)

    assert light.reason == BEYOND_CURVE
    assert [light.mean, light.sd, light.p10, light.p50, light.p90] == [None] * 5
    assert light.probability(0, 10) is None
    assert heavy.reason is None
    assert 10 < heavy.p50 < 30
    assert (sample_lifts(capacity, 20.0, np.array([[0.5, 0.5]])).repetitions <= MOST_REPETITIONS).all()


def test_more_than_is_foretold_is_no_number() -> None:
    """Two thousand counted and more possible: no 500 that pretends to be sure; a heavier load has its numbers."""
    seen = [Observation(0, 30.0, 2000.0, "at_least")]
    capacity = estimate_capacity(published_prior(70.0), seen, day=0)
    light, heavy = repetitions_at(capacity, 30.0), repetitions_at(capacity, 30.0 * math.exp(50.0))

    assert light.reason == BEYOND_CURVE
    assert [light.mean, light.sd, light.p10, light.p50, light.p90] == [None] * 5
    assert light.probability(10, 600) is None
    assert heavy.reason is None
    assert heavy.p50 < MOST_REPETITIONS


def test_a_load_too_heavy() -> None:
    """Repetitions below none count as none: the probability of none is one, the percentiles 0."""
    forecast = repetitions_at(
        estimate_capacity(BENCH, [Observation(0, 60.0, 5.0, "to_failure")], day=0), 300.0
    )

    assert (forecast.p10, forecast.p50, forecast.p90) == (0.0, 0.0, 0.0)
    assert forecast.probability(0, 0) == pytest.approx(1.0)
    assert forecast.probability(1, None) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("load", [0.0, -1.0, math.nan, math.inf])
def test_loads_are_checked(load: float) -> None:
    """No forecast at what is no load."""
    with pytest.raises(ValueError, match="load_kg"):
        repetitions_at(estimate_capacity(BENCH, [], day=0), load)


@pytest.mark.parametrize(
    "wrong",
    [
        {"load_kg": 0.0},
        {"load_kg": math.inf},
        {"repetitions": -1.0},
        {"repetitions": math.nan},
        {"kind": "guess"},
        {"kind": "rir"},
        {"rir": 2.0},
        {"kind": "rir", "rir": -1.0},
        {"weight": 0.0},
        {"weight": 1.5},
    ],
)
def test_observations_are_checked(wrong: dict[str, object]) -> None:
    """What cannot have been seen is refused where it is made."""
    good = {"day": 0, "load_kg": 80.0, "repetitions": 5.0, "kind": "to_failure"}
    with pytest.raises(ValueError, match=r"must|belongs"):
        Observation(**(good | wrong))


@pytest.mark.parametrize(
    "wrong",
    [{"log_l10": math.nan}, {"log_l10_sd": 0.0}, {"log_k": 1.0}, {"log_k_sd": 2.0}, {"asymptote_share": 1.0}],
)
def test_priors_are_checked(wrong: dict[str, float]) -> None:
    """A prior outside the ranges in which the curve means anything is refused."""
    with pytest.raises(ValueError, match=next(iter(wrong))):
        Prior(**({"log_l10": 4.0, "log_l10_sd": 0.4, "log_k": -3.6, "log_k_sd": 0.2} | wrong))


@pytest.mark.parametrize(("a", "load_kg"), [(0.0, 60.0), (0.0, 95.0), (0.4, 60.0), (0.4, 85.0)])
def test_the_probability_of_a_count_is_that_of_drawn_sets(a: float, load_kg: float) -> None:
    """Of each count beside 200 000 drawn sets: n* by the node and its normal strength on the curve of
    athletes.calc.curve, with the noise of the day; of all counts it is one."""
    prior = published_prior(80.0, FallOff.BENCH_LIKE, asymptote_share=a)
    capacity = estimate_capacity(prior, [Observation(0, 75.0, 11.0, "to_failure")], day=0)
    mixture, rng = repetitions_at(capacity, load_kg).mixture, np.random.default_rng(3)
    node = rng.choice(mixture.weight.size, 200_000, p=mixture.weight)
    fallen = mixture.ahead[node] + mixture.spread[node] * rng.normal(size=node.size)
    fresh = np.array([
        repetitions(mixture.k_nodes[j], a, down + drop(mixture.k_nodes[j], a, 10.0))
        for j, down in zip(node.tolist(), fallen.tolist(), strict=True)
    ])  # fmt: skip
    counted = np.floor(
        np.maximum(fresh + day_noise(np.clip(fresh, 0.0, 200.0)) * rng.normal(size=node.size), 0.0)
    )
    told = [probability_of_count(capacity, load_kg, float(count)) for count in range(400)]

    assert sum(told) == pytest.approx(1.0, abs=0.02)
    for count in range(0, 25, 3):
        assert told[count] == pytest.approx((counted == count).mean(), abs=0.008), count
