"""Which one-sided observations are kept."""

import pytest

from athletes.calc.capacity import Kind, Observation
from athletes.calc.columns import as_history


def kept_days(*seen: Observation) -> list[int]:
    """Days of the observations that stay in the history."""
    return as_history(seen).day.tolist()


def planned(
    day: int, load_kg: float, repetitions: float, kind: Kind = "at_least", weight: float = 1.0
) -> Observation:
    return Observation(day, load_kg, repetitions, kind, None, weight)


def test_of_equal_sets_the_last_stays() -> None:
    """The same planned set twice a week counts once, as of its last day."""
    assert kept_days(*(planned(day, 60.0, 10.0) for day in (0, 3, 7, 10))) == [10]


def test_within_four_weeks_only() -> None:
    """The same set four weeks later is news of its own, a day less and it is not."""
    assert kept_days(planned(0, 60.0, 10.0), planned(28, 60.0, 10.0)) == [0, 28]
    assert kept_days(planned(0, 60.0, 10.0), planned(27, 60.0, 10.0)) == [27]


@pytest.mark.parametrize(
    ("other", "covered"),
    [
        (planned(5, 60.0, 11.0), True),
        (planned(5, 65.0, 10.0), True),
        (planned(5, 65.0, 9.0), False),
        (planned(5, 55.0, 20.0), False),
        (planned(5, 60.0, 12.0, "at_least_weak"), False),
        (planned(5, 60.0, 12.0, weight=0.5), False),
        (Observation(5, 70.0, 12.0, "to_failure"), False),
    ],
)
def test_what_covers(other: Observation, covered: bool) -> None:
    """At least the load, the repetitions and the trust of it, whichever came first."""
    later, earlier = planned(1, 60.0, 10.0), planned(9, 60.0, 10.0)

    assert (later.day not in kept_days(later, other)) == covered
    assert (earlier.day not in kept_days(other, earlier)) == covered


def test_missed_singles() -> None:
    """A single missed at a lighter load covers one missed at a heavier load, and no planned set."""
    heavy, light = Observation(1, 100.0, 0.0, "zero"), Observation(2, 95.0, 0.0, "to_failure")

    assert kept_days(heavy, light) == [2]
    assert kept_days(light, planned(3, 99.0, 1.0)) == [2, 3]


def test_tests_are_all_kept() -> None:
    """Tests that bound the repetitions from both sides stay, however alike; "at least none" never does."""
    tests = [Observation(day, 60.0, 10.0, "to_failure") for day in (1, 2)]

    assert kept_days(*tests, planned(3, 60.0, 0.0)) == [1, 2]
