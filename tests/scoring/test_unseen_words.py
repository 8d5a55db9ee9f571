"""The beginning of who was never seen is explained in sentences."""

from typing import get_args

from scoring.calc.prescription import ReasonCode
from scoring.names import Names
from scoring.unseen_words import AFTER_CHECK_SET, BEGINS, unseen_told

NAMES = Names(works={"a": "Back squat", "b": "Back squat, second time"})


def told(*reasons: tuple[str, str | None], feasible: bool = True) -> list[str]:
    rows = [{"block": "main", "code": code, "work": work} for code, work in reasons]
    return list(unseen_told({"feasible": feasible, "reasons": rows}, NAMES))


def test_each_beginning_is_told_with_its_work_and_the_aim_once() -> None:
    """Other reasons have their own sentences elsewhere."""
    lines = told(
        ("begins_light", "a"), ("uncertain_capacity", "a"), ("checked_with_other_work", "b"),
        ("aim_after_check_set", "a"), ("aim_after_check_set", None),
    )  # fmt: skip

    assert [line.split(":")[0] for line in lines[:2]] == ["Back squat", "Back squat, second time"]
    assert lines[2:] == [AFTER_CHECK_SET]


def test_nothing_is_told_of_what_is_refused() -> None:
    """No version begins there."""
    assert told(("begins_light", "a"), feasible=False) == []


def test_what_is_told_are_reasons_that_exist() -> None:
    """A renamed code would leave its sentence behind."""
    assert set(BEGINS) <= set(get_args(ReasonCode))


def test_the_lighter_of_two_loads_is_told_of_the_work_or_of_all() -> None:
    """A share may be asked of one item or of every one."""
    lines = told(("between_options", "a"), ("between_options", None))

    assert lines == [
        f"{about}: {BEGINS['between_options']}." for about in ("Back squat", "The session's work")
    ]
