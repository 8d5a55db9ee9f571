"""What another pacing would cost, in sentences of the brief.

What would save something is left out: where a pacing is not the quickest, the session asks for it, by what it wants
of the sets or since sets of one or two are none; whoever reads the brief should not be led away from that.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from scoring.names import Names
from scoring.words import noun, units_said

CHANGED: Final[Mapping[str, str]] = {
    "longer_rest": "Resting at least {rest_s} s instead of {rest_now_s} s between two sets of the same work",
    "shorter_rest": "Going on after {rest_s} s instead of {rest_now_s} s between two sets of the same work",
    "smaller_sets": "Stopping each set at {share} of what you have in you instead of {share_now}",
    "to_failure": "Taking each set as far as it goes",
    "same_share": "Stopping each set at {share} of what you have in you, after {rest_s} s, instead of these sets",
}


def pace_lines(others: Sequence[Mapping[str, Any]], names: Names) -> list[str]:
    """One for each change that costs something."""
    return [_line(one, names) for one in others if one["costs"] > 0]


def _line(one: Mapping[str, Any], names: Names) -> str:
    where = f"In {names.block(one['block'])}: " if len(names.blocks) > 1 else ""
    said = CHANGED[one["change"]].format(
        rest_s=one["rest_s"], rest_now_s=one["rest_now_s"],
        share=f"{100.0 * one['share']:.0f} %", share_now=f"{100.0 * one['share_now']:.0f} %",
    )  # fmt: skip
    if where:
        said = said[0].lower() + said[1:]
    costs = f"{one['costs']:g} {noun(one['costs'], units_said(one['unit']))}"
    return f"{where}{said} costs about {costs}{_breaks(one['more_breaks'])}."


def _breaks(more: int) -> str:
    """How many breaks go with it."""
    if more == 0:
        return ""
    many = abs(more)
    return f", with {'one break' if many == 1 else f'{many} breaks'} {'more' if more > 0 else 'fewer'}"
