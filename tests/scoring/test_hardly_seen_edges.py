"""Who begins light, and how far a step goes: of capacities made from lower bounds alone."""

from types import SimpleNamespace
from typing import Any

from athletes.calc.capacity import Capacity, Observation, estimate_capacity
from athletes.calc.decay import Absence
from programming.calc.catalogue import UNDER_LOAD
from programming.calc.variation import Option, Variation
from scoring.hardly_seen import beyond_a_step, starts_light
from tests.athletes.calc.histories import BENCH
from tests.scoring.calc.test_shares import straight

FIVES = straight(5, 60.0, 80.0)
DAY = 28


def seen(kg: float, *, repetitions: float = 5.0, absences: tuple[Absence, ...] = ()) -> Capacity:
    """A set that ended as planned on day 2, and nothing since."""
    done = Observation(2, kg, repetitions, "at_least", variation="press")
    return estimate_capacity(BENCH, [done], day=DAY, absences=absences)


def entry(key: str = "press", *, fraction: float = 0.0, hazards: tuple[str, ...] = ()) -> Any:
    found = Variation(
        key=key, movement="press", rung=1, body_mass_fraction=fraction, hazards=frozenset(hazards),
        adjustable=frozenset({"load"}), load_item="dumbbell",
    )  # fmt: skip
    return SimpleNamespace(variation=found, variation_id=key)


def option(kg: float, key: str = "press", *, bare: float = 0.0) -> Option:
    """bare: what of it is moved without a load."""
    return Option(key, kg - bare, None, None, kg)


def light(one: Any, chosen: Option, capacity: Capacity) -> bool:
    return starts_light(FIVES, FIVES.work[0], one, chosen, capacity)


def test_what_is_done_under_a_load_begins_light_without_one_too() -> None:
    bare = Option("press", None, None, None, 60.0)
    assert light(entry(hazards=(UNDER_LOAD,)), bare, seen(40.0))
    assert not light(entry(), bare, seen(40.0))


def test_an_absence_since_makes_what_was_done_less() -> None:
    """Five with 60 kg; after weeks away, no longer five."""
    assert not light(entry(), option(60.0), seen(60.0))
    assert light(entry(), option(60.0), seen(60.0, absences=(Absence(3, DAY - 1),)))


def beyond(listed: list[Any], capacity: Capacity, mass: float | None = None) -> list[float]:
    return sorted(one.effective_kg for one in beyond_a_step(listed, capacity, mass, {}, checked=False))


def test_the_next_load_of_each_variation_goes_further_than_the_others() -> None:
    """After 20 kg: 28 is two fifths more, and the next of both dumbbells; 30 is the next of neither."""
    both = [(entry(key), option(kg, key)) for key in ("press", "incline") for kg in (20.0, 28.0, 30.0)]
    assert beyond(both, seen(20.0)) == [30.0, 30.0]


def test_a_little_of_all_that_is_moved_is_a_step() -> None:
    """60 of the body and 2 kg on it: 3, 5 and 6 are more than half as much again of the two, and 3 and 5 within a
    twentieth of the 62.
    """
    vest = [(entry(fraction=1.0), option(60.0 + kg, bare=60.0)) for kg in (3.0, 5.0, 6.0)]
    assert beyond(vest, seen(62.0), 60.0) == [66.0]
