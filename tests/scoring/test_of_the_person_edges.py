"""Where an override begins to ask more than was worked out, and of what age: one row on each side."""

from types import SimpleNamespace
from typing import Any

import pytest

from scoring.of_the_person import is_old, of_the_person
from scoring.restraint import ADULT_FROM, OLD_FROM

GIVEN = {"work": "a", "variation": "goblet_squat", "effective_kg": 60.0, "repetitions": 20, "hold_s": None,
         "distance_m": None, "energy_kcal": None}  # fmt: skip
CONTENT = {"work": [GIVEN], "overridden_by": None, "feasible": True, "blocks": []}


def chosen(kg: float = 60.0, key: str = "goblet_squat", amount: float | None = 20.0) -> Any:
    entry = SimpleNamespace(
        name="Goblet squat", variation=SimpleNamespace(key=key), movement=SimpleNamespace(key="squat", name="Squat"),
        variation_id=1,
    )  # fmt: skip
    return SimpleNamespace(
        named=SimpleNamespace(work="a", amount=amount), item=SimpleNamespace(amount=20.0), entry=entry,
        option=SimpleNamespace(effective_kg=kg), attempts=(),
    )  # fmt: skip


def asked(
    one: Any, content: dict[str, Any] = CONTENT, *, age: int | None = None, alone: bool = True
) -> set[str]:
    plan: Any = SimpleNamespace(variations={"goblet_squat": one.entry}, doc=SimpleNamespace(blocks=()))
    inputs: Any = SimpleNamespace(safety=SimpleNamespace(age=age), trains_alone=alone)
    return set(of_the_person(plan, content, inputs, [one], {1}))


@pytest.mark.parametrize(("age", "minor"), [(ADULT_FROM - 1, True), (ADULT_FROM, False), (None, False)])
def test_a_minor_is_below_eighteen(age: int | None, minor: bool) -> None:
    assert asked(chosen(kg=70.0), age=age, alone=False) == ({"minor"} if minor else set())


@pytest.mark.parametrize(("age", "old"), [(OLD_FROM - 1, False), (OLD_FROM, True), (None, False)])
def test_old_is_from_sixty_six(age: int | None, old: bool) -> None:
    safety: Any = SimpleNamespace(age=age)
    assert is_old(safety) is old


@pytest.mark.parametrize(
    ("one", "more"),
    [
        (chosen(), False),
        (chosen(kg=60.04), False),  # a prescription tells tenths
        (chosen(kg=60.1), True),
        (chosen(key="front_squat"), False),  # another version of the same load
        (chosen(amount=20.0), False),
        (chosen(amount=21.0), True),
    ],
)
def test_more_is_a_heavier_load_or_a_larger_amount(one: Any, more: bool) -> None:
    assert asked(one) == ({"trains_alone"} if more else set())


@pytest.mark.parametrize(("key", "more"), [("goblet_squat", False), ("jump_squat", True)])
def test_without_a_load_another_version_may_be_anything(key: str, more: bool) -> None:
    content = {**CONTENT, "work": [{**GIVEN, "effective_kg": None}]}
    assert asked(chosen(key=key), content) == ({"trains_alone"} if more else set())


@pytest.mark.parametrize(
    "changed", [{"feasible": False}, {"work": []}, {"overridden_by": {"override": "somebody's"}}]
)
def test_what_was_not_worked_out_is_no_measure(changed: dict[str, Any]) -> None:
    assert asked(chosen(kg=40.0), {**CONTENT, **changed}) == {"trains_alone"}
