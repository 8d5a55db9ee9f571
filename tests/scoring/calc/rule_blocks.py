"""Blocks of every order for the tests of scoring, made from documents that a coach could publish."""

from programming.calc.document import contradictions, parse_revision

MOVEMENTS = {"a": "horizontal_row", "b": "squat", "c": "hinge"}


def item(key, amount, unit="repetitions", load_kg=None):
    """One work item of invented movements; the amount may be None."""
    variation = {"variation": f"{key}_written", "load_kg": load_kg}
    return {"key": key, "movement": MOVEMENTS.get(key, key), unit: amount, "as_written": variation}


def block_of(*work, scored, order="in_sequence", breaks=None, end=None, tie_break="none", **settings):
    """A block without contradictions; work: items, or (key, amount) pairs; end: (kind, seconds)."""
    kind, seconds = end or ("work_done", None)
    name = "time_s" if kind == "fixed_time" else "cap_s"
    rules = {
        "order": order,
        "break": breaks or {"counts": "none"},
        "end": {"kind": kind, **({} if seconds is None else {name: seconds})},
        "scored": scored,
        "tie_break": tie_break,
        **settings,
    }
    items = [one if isinstance(one, dict) else item(*one) for one in work]
    aim = {"conditions": [{"kind": "effort", "lower": 3, "upper": 9}]}
    doc = {
        "title": "Made for a test",
        "quality": "aerobic_power",
        "blocks": [{"key": "main", "work": items, "rules": rules, "aim": aim}],
    }
    parsed = parse_revision(doc)
    assert contradictions(parsed) == []
    return parsed.blocks[0]
