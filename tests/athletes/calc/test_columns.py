"""The columns that the estimate reads, against the observations one by one and bounds written down by hand."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from athletes.calc.columns import as_history, columns_of, history_and_rows, in_order
from athletes.calc.observation import AT_COUNT, AT_LOAD, IN_RANGE, KINDS, Observation

INF = math.inf
# kind, repetitions, reserve said: form, lower, upper and where the noise is taken, by the docstring of Observation.
BY_HAND = [
    ("one_rm", 1.0, None, (AT_LOAD, 1.0, 1.0, 1.0)),
    ("to_failure", 12.0, None, (IN_RANGE, 12.0, 13.0, 12.5)),
    ("to_failure", 0.0, None, (IN_RANGE, -INF, 1.0, 1.0)),
    ("zero", 0.0, None, (IN_RANGE, -INF, 1.0, 1.0)),
    ("rir", 9.0, 0.0, (AT_COUNT, 9.5, 9.5, 9.5)),
    ("at_least", 10.0, None, (IN_RANGE, 10.0, INF, 10.0)),
    ("at_least_weak", 10.0, None, (IN_RANGE, 10.0, INF, 10.0)),
]

seen_once = st.builds(
    lambda day, load, count, kind, rir, name, mass: Observation(
        day, load, count, kind, rir if kind == "rir" else None, variation=name, body_mass_kg=mass
    ),
    st.integers(-50, 400),
    st.floats(1.0, 300.0),
    st.integers(0, 40).map(float),
    st.sampled_from(KINDS),
    st.integers(0, 5).map(float),
    st.sampled_from(["", "a", "Z", "é"]),
    st.sampled_from([None, 70.0, 71.5]),
)


@pytest.mark.parametrize(("kind", "count", "rir", "bounds"), BY_HAND)
def test_bounds_are_those_written_down(
    kind: str, count: float, rir: float | None, bounds: tuple[float, ...]
) -> None:
    history = as_history([Observation(3, 80.0, count, kind, rir)])  # type: ignore[arg-type]
    found = (history.form[0], history.lower[0], history.upper[0], history.noise_at[0])
    assert found == bounds


def test_at_least_none_tells_nothing() -> None:
    assert as_history([Observation(3, 80.0, 0.0, "at_least")]).day.size == 0


@settings(deadline=None)
@given(st.lists(seen_once, max_size=30))
def test_columns_say_what_the_observations_say(observations: list[Observation]) -> None:
    seen = columns_of(observations)
    for n, one in enumerate(observations):
        assert (seen.day[n], KINDS[seen.kind[n]], seen.names[seen.variation[n]]) == (
            one.day, one.kind, one.variation,
        )  # fmt: skip
        assert (seen.load_kg[n], seen.repetitions[n], seen.rir[n], seen.hour[n]) == (
            one.load_kg, one.repetitions, one.rir or 0.0, one.hour,
        )  # fmt: skip
        mass = seen.body_mass_kg[n]
        assert math.isnan(mass) if one.body_mass_kg is None else mass == one.body_mass_kg
        assert seen.two_sided[n] == (one.kind in ("one_rm", "to_failure", "rir"))
    assert list(seen.names) == sorted({one.variation for one in observations})


@settings(deadline=None)
@given(st.lists(seen_once, max_size=30), st.randoms(use_true_random=False))
def test_rows_lead_back_and_the_order_of_entry_does_not_matter(observations: list[Observation], draw) -> None:  # type: ignore[no-untyped-def]
    history, rows = history_and_rows(columns_of(observations))
    assert history.day.tolist() == [observations[row].day for row in rows]
    assert np.array_equal(history.log_load, np.log([observations[row].load_kg for row in rows]))
    mixed = list(observations)
    draw.shuffle(mixed)
    for column, other in zip(history, as_history(mixed), strict=True):
        assert np.array_equal(column, other)


@settings(deadline=None)
@given(st.lists(seen_once, max_size=60))
def test_the_order_is_that_of_all_columns_together(observations: list[Observation]) -> None:
    """Sorted at once by a general library, by day, kind, load, repetitions, reserve, weight, hour and variation."""
    seen = columns_of(observations)
    rank = np.array([0, 2, 1, 3, 4, 5])[seen.kind]
    wanted = np.lexsort(
        (seen.variation, seen.hour, seen.weight, seen.rir, seen.repetitions, seen.load_kg, rank, seen.day)
    )
    # Rows that are equal in all of it are alike: which of them comes first is nobody's question.
    for column in (
        seen.variation,
        seen.hour,
        seen.weight,
        seen.rir,
        seen.repetitions,
        seen.load_kg,
        rank,
        seen.day,
    ):
        assert np.array_equal(column[in_order(seen)], column[wanted])
