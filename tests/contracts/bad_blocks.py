"""Requests about several blocks that must be refused: results block by block, and sessions of several blocks."""

from __future__ import annotations

import copy
from typing import Any

from tests.contracts.bad_inputs import UNKNOWN, Bad, Change, S
from tests.contracts.stage import Stage
from tests.support.pointers import WORK

ROW = {"work": "a", "variation": "row_45", "repetitions": 20, "ended_by": "planned"}
LOCAL = "make_local_version"


def _reported(*blocks: dict[str, Any], **more: Any) -> Change:
    """The result block by block, in place of its log."""

    def change(body: dict[str, Any], _: Stage) -> Any:
        kept = {name: value for name, value in body.items() if name != "set_log"}
        return kept | {"blocks": list(blocks)} | more

    return change


def _sets(*sets: dict[str, Any], block: str = "main") -> dict[str, Any]:
    return {"block": block, "set_log": {"sets": list(sets)}}


def _result(name: str, at: str, word: str, *blocks: dict[str, Any], **more: Any) -> Bad:
    return Bad(name, S, _reported(*blocks, **more), at=at, word=word)


RESULTS = (
    _result("no blocks", "#/blocks", "empty"),
    _result("nine blocks", "#/blocks", "max_length", *[_sets(ROW)] * 9),
    _result("a block that is not there", "#/blocks/0/block", "unknown_block", _sets(ROW, block="finish")),
    _result("a block twice", "#/blocks/1/block", "named_twice", _sets(ROW), _sets(ROW)),
    _result("a block that says nothing", "#/blocks/0", "one_of", {"block": "main"}),
    _result("a block said in two ways", "#/blocks/0", "one_of",
            _sets(ROW) | {"totals": {"work": [{"work": "a", "repetitions": 20}]}}),
    _result("blocks and a log", "#", "one_of", _sets(ROW), set_log={"sets": [ROW]}),
    _result("a block without its key", "#/blocks/0/block", "required", {"set_log": {"sets": [ROW]}}),
    _result("unknown work in a block", f"#/blocks/0/set_log/sets/1/{WORK}", "unknown_work",
            _sets(ROW, {**ROW, "work": "z"})),
    _result("unknown variation in a block", "#/blocks/0/set_log/sets/0/variation", "unknown_variation",
            _sets({**ROW, "variation": "moon_row"})),
    _result("a load in a block on what has none", "#/blocks/0/set_log/sets/0/load_kg", "not_adjustable",
            _sets({**ROW, "load_kg": 20})),
    _result("an interval in a block without them", "#/blocks/0/set_log/sets/0/interval", "no_intervals",
            _sets({**ROW, "interval": 1})),
    _result("metres of what is counted", f"#/blocks/0/totals/{WORK}/0/distance_m", "wrong_unit",
            {"block": "main", "totals": {"work": [{"work": "a", "distance_m": 20}]}}),
    _result("an unknown field of a block", "#/blocks/0/place", "unknown_field", _sets(ROW) | {"place": 1}),
)  # fmt: skip


def _written(change: Change) -> Change:
    """A session of two blocks, each sound, with one fault that only the two together have."""

    def both(body: dict[str, Any], stage: Stage) -> Any:
        document = body["document"]
        second = copy.deepcopy(document["blocks"][0])
        second["key"] = "second"
        for item in second["work"]:
            item["key"] += "_second"
        for condition in second["aim"]["conditions"]:
            if "work" in condition:
                condition["work"] += "_second"
        document["blocks"].append(second)
        change(document, stage)
        return body

    return both


def _set(path: str, value: Any) -> Change:
    def change(document: dict[str, Any], _: Stage) -> Any:
        place: Any = document
        *steps, last = path.split(".")
        for step in steps:
            place = place[int(step) if step.isdigit() else step]
        place[last] = value

    return change


def _session(name: str, path: str, value: Any, word: str, at: str = "") -> Bad:
    pointer = "#/document/" + (at or path).replace(".", "/")
    return Bad(name, LOCAL, _written(_set(path, value)), "draft_not_publishable", at=pointer, word=word)


POINTS = {"by": "points", "tables": {"third": {"a": 1, "b": 0, "c": 1}}}
SESSIONS = (
    _session("two blocks of one key", "blocks.1.key", "main", "duplicate_key"),
    _session("one work key in two blocks", "blocks.1.work.0.key", "a", "duplicate_key"),
    _session("an aim on the other block's work", "blocks.1.aim.conditions.0.work", "a", "unknown_work"),
    _session("ranked by a block that is not there", "overall", {"by": "block", "block": "third"},
             "unknown_choice", "overall.block"),
    _session("points without tables", "overall", {"by": "points"}, "missing_field", "overall.tables"),
    _session("a table of a block that is not there", "overall", POINTS, "unknown_field", "overall.tables.third"),
    _session("nine blocks written", "blocks", [{}] * 9, "wrong_length"),
    _session("a fault in the second block", "blocks.1.rules.end.kind", "never", "unknown_choice"),
)  # fmt: skip
REFERENCES = (
    Bad("blocks for a prescription of others", S,
        lambda body, stage: {**_reported(_sets(ROW))(body, stage),
                             "prescription": str(stage.theirs.ids["prescription"])},
        at="#/prescription", word=UNKNOWN),
)  # fmt: skip

OF_BLOCKS = (*RESULTS, *SESSIONS, *REFERENCES)
