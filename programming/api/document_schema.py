"""The revision document as a JSON Schema in the OpenAPI document, from the constants that its reader goes by.

The reader (``programming.calc.document``) has the last word: what contradicts what cannot be said in a schema.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Any, Final

from programming.api import document_words
from programming.calc import document, document_rules, document_work, reader, revision, rule_codes

COMPONENT: Final = "RevisionDocument"
REFERENCE: Final = {"$ref": f"#/components/schemas/{COMPONENT}"}

Schema = dict[str, Any]


def append_component(result: Schema, **kwargs: Any) -> Schema:
    """Put the component into the OpenAPI document: a hook of drf-spectacular."""
    result["components"]["schemas"] |= _components()
    result["components"]["schemas"] = dict(sorted(result["components"]["schemas"].items()))
    return result


def _ref(name: str) -> Schema:
    return {"$ref": f"#/components/schemas/{COMPONENT}{name}"}


def _object(required: tuple[str, ...], describe: str, **fields: Schema) -> Schema:
    return {
        "type": "object",
        "description": describe,
        "properties": fields,
        "required": list(required),
        "additionalProperties": False,
    }


def _number(
    least: float, most: float, describe: str = "", *, above: bool = False, kind: str = "number"
) -> Schema:
    bound = "exclusiveMinimum" if above else "minimum"
    shown = {"type": kind, bound: least, "maximum": most}
    return shown | ({"description": describe} if describe else {})


def _or_null(schema: Schema) -> Schema:
    return schema | {"type": [schema["type"], "null"]}


def _choice(allowed: Any, describe: str = "") -> Schema:
    shown = {"type": "string", "enum": sorted(allowed)}
    return shown | ({"description": describe} if describe else {})


def _list(items: Schema, least: int, most: int) -> Schema:
    return {"type": "array", "items": items, "minItems": least, "maxItems": most}


_KEY: Final = {"type": "string", "pattern": "^" + reader.KEY_PATTERN.pattern.removesuffix(r"\Z") + "$"}


def _components() -> dict[str, Schema]:
    return {
        COMPONENT: _object(
            ("title", "quality", "blocks"),
            "A session as a coach writes it.",
            title={"type": "string", "minLength": 1, "maxLength": document.MAX_TITLE},
            quality=_choice(document.QUALITIES, "What the session is meant to train."),
            texts=_object(
                (),
                "The coach's words for the athletes.",
                **{name: {"type": "string", "maxLength": document.MAX_TEXT} for name in document.TEXT_KEYS},
            ),
            blocks=_list(_ref("Block"), 1, document.MAX_BLOCKS),
            overall=_overall(),
        ),
        f"{COMPONENT}Block": _object(
            ("key", "work", "rules", "aim"),
            "Work under rules, with the aim that must hold for it to train what it should.",
            key=_KEY,
            work=_list(_ref("Work"), 1, document_work.MAX_ITEMS),
            rules=_ref("Rules"),
            aim=_object(
                ("conditions",),
                "Conditions that all must hold.",
                conditions=_list(_ref("Condition"), 0, document_work.MAX_CONDITIONS),
            ),
        ),
        f"{COMPONENT}Work": _work(),
        f"{COMPONENT}Rules": _rules(),
        f"{COMPONENT}Condition": _condition(),
    }


def _overall() -> Schema:
    points = _object(
        tuple(document.POINT_LIMITS),
        "a (b - x)^c where less is better, a (x - b)^c where more is, rounded down.",
        **{name: _number(0, most) for name, most in document.POINT_LIMITS.items()},
    )
    return _object(
        ("by",),
        "How several blocks are ranked: by one of them, by places added up, or by points.",
        by=_choice(document.OVERALL),
        block={"type": ["string", "null"]},
        tables={"type": ["object", "null"], "additionalProperties": points},
    ) | {"type": ["object", "null"]}


def _work() -> Schema:
    settings = {
        name: _or_null(_number(0, most, above=True)) for name, most in document_work.SETTING_LIMITS.items()
    }
    amounts = {
        unit: _or_null(
            _number(0, most, above=True, kind="integer" if unit == revision.REPETITIONS else "number")
        )
        for unit, most in document_work.MAX_AMOUNT.items()
    }
    shown = _object(
        ("key", "movement", "as_written"),
        "An amount of one movement in exactly one unit; null: as much as possible. In a ladder the amount is that "
        "of a rung of 1. No `variations` means the movement's whole ladder.",
        key=_KEY,
        movement=_KEY,
        as_written=_object(("variation",), "The version that the coach writes.", variation=_KEY, **settings),
        variations=_list(_KEY, 0, document_work.MAX_VARIATIONS),
        **amounts,
    )
    return shown | {"oneOf": [{"required": [unit]} for unit in revision.UNITS]}


def _rules() -> Schema:
    clock, interval = document_rules.CLOCK_RANGE_S, document_rules.INTERVAL_RANGE_S
    count = {"rounds": document_rules.MAX_ROUNDS, "attempts": document_rules.MAX_ATTEMPTS}
    return _object(
        ("order", "break", "end", "scored", "tie_break"),
        "Order, break rule, end, what is scored, tie-break: five rules that compose.",
        order=_choice(rule_codes.ORDERS),
        rest_between_s=_or_null(_number(0, 3600, "Rest between two rounds.")),
        ladder=_or_null(_ladder()),
        intervals=_or_null(_intervals(interval)),
        split=_KEY | {"type": ["string", "null"]},
        end=_object(
            ("kind",),
            "All work done (at the latest at cap_s), a fixed time, or the first missed interval.",
            kind=_choice(rule_codes.ENDS),
            cap_s=_or_null(_number(*clock)),
            time_s=_or_null(_number(*clock)),
        ),
        scored=_choice(
            document_rules.SCORED,
            "What the score is, in which unit:\n\n" + document_words.listed(document_words.SCORES),
        ),
        tie_break=_choice(document_rules.TIE_BREAKS),
        **{name: _or_null(_number(1, most, kind="integer")) for name, most in count.items()},
        **{"break": _break()},
    )


def _ladder() -> Schema:
    rung = _number(0, document_rules.MAX_RUNG, above=True)
    return _object(
        ("amounts",),
        "Factors of the amounts, rung by rung; then_step is what each further rung adds, null: no more rungs.",
        amounts=_list(rung, 1, document_rules.MAX_RUNGS),
        then_step=_or_null(rung),
    )


def _intervals(interval: tuple[float, float]) -> Schema:
    return _object(
        ("every_s",),
        "An interval begins every every_s seconds; work is done in its first work_s, by one item in turn or by all.",
        every_s=_number(*interval),
        work_s=_or_null(_number(1, interval[1])),
        count=_or_null(_number(1, document_rules.MAX_INTERVALS, kind="integer")),
        in_turn={"type": "boolean"},
    )


def _break() -> Schema:
    most_s = document_rules.MAX_PENALTY_S
    return _object(
        ("counts",),
        "What counts as a break, and what it costs: added to the score, or served as rest or as work.",
        counts=_choice(rule_codes.BREAK_COUNTS),
        penalty=_choice(rule_codes.PENALTIES),
        penalty_s=_or_null(_number(0, most_s)),
        penalty_repetitions=_or_null(_number(0, document_rules.MAX_PENALTY_REPETITIONS, kind="integer")),
        penalty_work={"oneOf": [_ref("Work"), {"type": "null"}]},
        rest_over_s=_or_null(_number(0, most_s)),
    )


def _either(names: Collection[str]) -> str:
    return " or ".join(f"`{name}`" for name in sorted(names))


def _condition() -> Schema:
    bound = _or_null(_number(0, max(document_work.WINDOW_LIMITS.values()), above=True))
    return _object(
        ("kind",),
        "lower <= value <= upper, at least one of them; stopped_by says `by` what instead.",
        kind=_choice(
            document_work.WINDOW_LIMITS,
            "Of what value:\n\n" + document_words.listed(document_words.CONDITIONS),
        ),
        work={
            "type": ["string", "null"],
            "description": f"Key of a work item: of {_either(document_work.ON_WORK)} always, of "
            f"{_either(document_work.ON_BLOCK)} never, else null for the whole block.",
        },
        lower=bound,
        upper=bound,
        by={"type": ["string", "null"], "enum": [*sorted(document_work.STOPPERS), None]},
    )
