"""The schema of the revision document in the interface against the reader that has the last word."""

from __future__ import annotations

from collections.abc import Collection
from functools import cache
from typing import Any

import jsonschema
import pytest

from programming.api.document_schema import COMPONENT
from programming.calc import document_rules, document_work
from programming.calc.document import DocumentError, parse_revision
from tests.programming.calc.rule_documents import document, item, rules
from tests.programming.calc.test_rule_contradictions import FIXED, MINUTES, OPEN, REPS
from tests.programming.support import draft
from tests.programming.test_drafts import with_penalty
from tests.support.api import committed_document


@cache
def validator() -> Any:
    """Of the component, with the committed document to resolve references in."""
    components = committed_document().content["components"]
    schema = {"$ref": f"#/components/schemas/{COMPONENT}", "components": components}
    return jsonschema.Draft202012Validator(schema)


def is_read(written: dict[str, Any]) -> bool:
    """Whether the reader takes the document."""
    try:
        parse_revision(written)
    except DocumentError:
        return False
    return True


LADDER = {"amounts": [1, 2], "then_step": 1}
GOOD = [
    draft(),
    draft(texts={"why": "Long sets."}, overall={"by": "places"}),
    draft(overall={"by": "points", "tables": {"main": {"a": 0.1, "b": 900, "c": 1.8}}}),
    with_penalty(),
    document(REPS, rules("rounds", rounds=5, rest_between_s=120)),
    document(REPS, rules("ladder", ladder=LADDER, end=FIXED, scored="repetitions")),
    document(OPEN, rules("intervals", intervals=MINUTES | {"work_s": 20}, scored="smallest_interval")),
    document([item("a", hold_s=None)], rules("in_sequence", end=FIXED, scored="held_time")),
    document([item("a", repetitions=1)], rules("attempts", attempts=6, scored="load")),
    document(REPS, rules("in_sequence"), conditions=[{"kind": "stopped_by", "by": "breathing"}]),
]
BAD = [
    draft(colour="red"),
    draft(title=""),
    draft(quality="fun"),
    draft(blocks=[]),
    document([item("a")], rules("in_sequence")),
    document([item("a", repetitions=5, hold_s=5)], rules("in_sequence")),
    document([item("a", repetitions=2.5)], rules("in_sequence")),
    document([item("A", repetitions=2)], rules("in_sequence")),
    document(REPS, rules("spiral")),
    document(REPS, rules("rounds", rounds=0)),
    document(REPS, rules("in_sequence", end={"kind": "work_done", "cap_s": 29})),
    document(REPS, rules("ladder", ladder={"amounts": []})),
    document(REPS, rules("in_sequence"), conditions=[{"kind": "mood", "lower": 1}]),
]


@pytest.mark.parametrize("written", GOOD)
def test_what_is_read_fits_the_schema(written: dict[str, Any]) -> None:
    """Every rule of the interface description is as wide as the reader."""
    assert is_read(written)
    assert [error.message for error in validator().iter_errors(written)] == []


@pytest.mark.parametrize("written", BAD)
def test_what_does_not_fit_the_schema_is_not_read(written: dict[str, Any]) -> None:
    """And no wider where a schema can tell."""
    assert not is_read(written)
    assert list(validator().iter_errors(written))


def described(component: str, field: str) -> str:
    found: str = validator().schema["components"]["schemas"][f"{COMPONENT}{component}"]["properties"][field][
        "description"
    ]
    return found


@pytest.mark.parametrize(
    ("component", "field", "known"),
    [("Condition", "kind", document_work.WINDOW_LIMITS), ("Rules", "scored", document_rules.SCORED)],
)
def test_every_word_is_explained(component: str, field: str, known: Collection[str]) -> None:
    """Each kind of condition and each score has its line, and no line is about what is not there."""
    lines = described(component, field).splitlines()[2:]
    assert sorted(line.split("`")[1] for line in lines) == sorted(known)
    assert all(len(line.split(": ", 1)[1]) > 5 for line in lines)
