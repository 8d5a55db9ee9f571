"""Contents of every version in the shape of the present one: what an earlier one did not say is filled in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from athletes.day import AS_USUAL
from athletes.safety import NO_CONCERN
from programming.calc.revision import REPETITIONS, UNITS
from scoring.check_advice import wanted
from scoring.content import safety_told

ONLY_BLOCK: Final = "main"
"""Sessions of one block were the only ones then; where its key was another, the work still names it."""

_UNKEPT: Final[Mapping[str, Any]] = {"patience": None, "pace": None}
"""What was not stored of a pacing at first."""

_LISTS: Final = ("work", "closest", "plan", "conditions", "check_sets", "reasons", "ruled_out")


def as_current(content: Mapping[str, Any]) -> dict[str, Any]:
    """A copy; what the present version says of itself is left as it is."""
    told = {
        "attempts": [],
        **content,
        "other_pacings": [{**_UNKEPT, **one} for one in content.get("other_pacings", ())],
        "check_sets": [_asked(one) for one in content["check_sets"]],
        "work": [_work(one) for one in content["work"]],
        "closest": [_work(one) for one in content["closest"]],
    }
    if "caution_details" in content:
        by_block = content["expected_by_block"].items()
        return {
            **told,
            "blocks": [{"rounds": None, **one} for one in content["blocks"]],
            "expected": _with_rounds(content["expected"]),
            "expected_by_block": {key: _with_rounds(one) for key, one in by_block},
        }
    filled = {**_MISSING, **told}
    for name in _LISTS:
        filled[name] = [_entry(name, one) for one in told[name]]
    expected = content.get("expected")
    filled["expected"] = None if expected is None else _expected(expected)
    filled["expected_by_block"] = {ONLY_BLOCK: filled["expected"]}
    filled["blocks"] = [{"block": ONLY_BLOCK, "feasible": content["feasible"], "rounds": None}]
    filled["caution_details"] = [
        {"code": "note", "text": text, "source": "", "movements": []} for text in content["cautions"]
    ]
    return filled


_MISSING: Final[Mapping[str, Any]] = {
    "warm_up": [],
    "stopped_by": [],
    "hold": None,
    "safety": safety_told(NO_CONCERN),
    "day": AS_USUAL.told(),
    "overridden_by": None,
}
_OF_OPTION: Final = {"effective_kg_reason": None}
_FILL: Final[Mapping[str, Mapping[str, Any]]] = {
    "work": {
        "unit": REPETITIONS,
        "amount_as_written": True,
        "capacity_kind": "load_repetition",
        **_OF_OPTION,
    },
    "closest": {
        "unit": REPETITIONS,
        "amount_as_written": True,
        "capacity_kind": "load_repetition",
        **_OF_OPTION,
    },
    "plan": {"duration_s": None, "duration_s_reason": "own_pace"},
    "conditions": {"by": None, "probability_reason": None},
    "check_sets": {"unit": REPETITIONS, **_OF_OPTION},
    "reasons": {},
    "ruled_out": {},
}


def _asked(one: Mapping[str, Any]) -> dict[str, Any]:
    """A check set with what must and may be available in all."""
    least, most = wanted(one)
    return {**one, "able_at_least": least, "able_at_most": most}


def _work(one: Mapping[str, Any]) -> dict[str, Any]:
    """`as_written` was of the version alone before."""
    if "version_as_written" in one:
        return dict(one)
    version = one["as_written"]
    return {
        **one,
        "version_as_written": version,
        "as_written": version and one.get("amount_as_written", True),
    }


def _with_rounds(expected: Mapping[str, Any] | None) -> dict[str, Any] | None:
    return None if expected is None else {"rounds": None, **expected}


def _entry(name: str, one: Mapping[str, Any]) -> dict[str, Any]:
    amounts = dict.fromkeys(UNITS) if name in ("work", "closest", "plan") else {}
    filled: dict[str, Any] = {"block": ONLY_BLOCK, **amounts, **_FILL[name], **one}
    for fallback in ("if_easier_needed", "if_harder_possible"):
        if filled.get(fallback) is not None:
            filled[fallback] = {**_OF_OPTION, **filled[fallback]}
    return filled


def _expected(expected: Mapping[str, Any]) -> dict[str, Any]:
    score = {"score": expected["score_s"], "score_reason": expected["score_s_reason"]}
    unknown: dict[str, Any] = {"misses": None, "elapsed_s": None, "smallest_later_set": {}}
    unknown["rounds"] = None
    return {**score, "unit": "s", "better": "lower", **unknown, **expected}
