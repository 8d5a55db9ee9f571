"""Blocks for the tests of forecast and prescription: two items, swap on break, for time."""

from dataclasses import replace

from programming.calc.document import parse_revision
from programming.calc.revision import Aim, BreakRule, Condition, EndRule
from tests.programming.calc.documents import row_and_squat


def block(repetitions=(60, 40), *, penalty_s=30.0, cap_s=None, conditions=()):
    """The block of the example document with other numbers."""
    written = parse_revision(row_and_squat()).blocks[0]
    work = tuple(
        replace(item, amount=float(count)) for item, count in zip(written.work, repetitions, strict=True)
    )
    rules = replace(
        written.rules,
        break_rule=BreakRule("set_ended_early", penalty_s, "added"),
        end=EndRule("work_done", cap_s),
    )
    return replace(written, work=work, rules=rules, aim=Aim(tuple(conditions)))


def first_set(lower, upper, work="a"):
    """A first-set window."""
    return Condition("first_set", work, lower, upper)


def later_sets(lower, upper=None, work="a"):
    """A floor of later sets."""
    return Condition("later_sets", work, lower, upper)


def time(lower, upper):
    """A window of the official score."""
    return Condition("time", None, lower, upper)
