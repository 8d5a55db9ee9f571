"""Documents of every order, small enough to play by hand."""

from copy import deepcopy
from typing import Any

from programming.calc.document import parse_revision
from programming.calc.revision import Block


def item(key: str, *, movement: str | None = None, **amount: Any) -> dict[str, Any]:
    """A work item; the amount is given as its unit, e.g. repetitions=10."""
    movement = movement or f"movement_{key}"
    return {"key": key, "movement": movement, "as_written": {"variation": movement}, **amount}


def rules(order: str, **changes: Any) -> dict[str, Any]:
    """Rules that hold together for fixed work; changes replace whole fields, `break_` the break rule."""
    plain = {
        "order": order,
        "break": {"counts": "none"},
        "end": {"kind": "work_done", "cap_s": 1200},
        "scored": "time",
        "tie_break": "none",
    }
    if "break_" in changes:
        changes["break"] = changes.pop("break_")
    return plain | changes


def document(work: list[dict[str, Any]], written: dict[str, Any], **aim: Any) -> dict[str, Any]:
    """A revision of one block."""
    conditions = aim.get("conditions")
    if conditions is None:
        conditions = [{"kind": "effort", "lower": 5, "upper": 9}]
    block = {"key": "main", "work": work, "rules": written, "aim": {"conditions": conditions}}
    return deepcopy({"title": "Quay", "quality": "aerobic_power", "blocks": [block]})


def block_of(work: list[dict[str, Any]], written: dict[str, Any], **aim: Any) -> Block:
    """The block of `document`, parsed."""
    return parse_revision(document(work, written, **aim)).blocks[0]
