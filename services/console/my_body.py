"""From the fields of a log to the body that the interface takes, and from its complaints back to the fields.

Numbers are read here; whether they can be meant says the interface: what is none is handed on as it was typed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final
from uuid import UUID

from programming.calc.reader import child
from programming.calc.revision import Block
from programming.plans import SessionPlan
from scoring.sent import BLOCKS, KINDS
from services.console.my_fields import Weights, moment, number, seconds, typed
from services.console.my_log import LEFT_OUT, Filled
from services.console.placed import Placed

SET_FIELDS: Final = {
    "load": "load_kg",
    "assistance": "assistance_kg",
    "height": "height_cm",
    "rest": "rest_before_s",
    "seconds": "duration_s",
    "reserve": "rir",
    "interval": "interval",
}
TOP: Final = {
    "begun": "performed_at",
    "effort": "effort",
    "minutes": "minutes",
    "note": "note",
    "key": "client_id",
}


@dataclass
class Body(Placed):
    """What is sent, and which field each part of it came from, by JSON pointer."""

    sent: dict[str, Any] = field(default_factory=dict)

    def errors(self, problem: Mapping[str, Any]) -> dict[str, str]:
        """By field what a problem document says about it; under "" what belongs to none."""
        found: dict[str, list[str]] = {}
        for one in problem.get("errors", []):
            found.setdefault(self.field_of(one.get("pointer", "")), []).append(one["detail"])
        return {name: " ".join(dict.fromkeys(told)) for name, told in found.items()}


@dataclass(frozen=True)
class Reader:
    """Reads a log that was sent of one session."""

    values: Mapping[str, str]
    plan: SessionPlan
    weights: Weights

    def body(self, athlete: UUID) -> Body:
        """The body of a new result."""
        body = Body()
        told: dict[str, Any] = {"session": str(self.plan.session_id), "athlete": str(athlete)}
        told["performed_at"] = moment(typed(self.values, "begun"), self.plan.zone)
        if prescription := typed(self.values, "prescription"):
            told["prescription"] = prescription
        told["client_id"] = typed(self.values, "key")
        for name in ("effort", "minutes"):
            if text := typed(self.values, name):
                told[name] = number(text)
        told["note"] = self.values.get("note", "")
        body.places |= {f"#/{name}": own for own, name in TOP.items()}
        body.sent = told | self._parts(body)
        return body

    def _parts(self, body: Body) -> dict[str, Any]:
        blocks = self.plan.doc.blocks
        if len(blocks) == 1:
            kind = self._kind(0)
            return {kind: self._part(blocks[0], 0, kind, f"#/{kind}", body)}
        parts: list[dict[str, Any]] = []
        body.places[f"#/{BLOCKS}"] = "0-how"
        for place, block in enumerate(blocks):
            kind = self._kind(place)
            if kind == LEFT_OUT[0]:
                continue
            at = f"#/{BLOCKS}/{len(parts)}"
            body.places[at] = f"{place}-how"
            parts.append({"block": block.key, kind: self._part(block, place, kind, f"{at}/{kind}", body)})
        return {BLOCKS: parts}

    def _kind(self, place: int) -> str:
        kind = typed(self.values, f"{place}-how")
        return kind if kind in (*KINDS, LEFT_OUT[0]) else KINDS[0]

    def _part(self, block: Block, place: int, kind: str, at: str, body: Body) -> dict[str, Any]:
        body.places[at] = f"{place}-how"
        told: dict[str, Any] = {}
        for short, name in (("elapsed", "elapsed_s"), ("split", "split_s")):
            body.places[f"{at}/{name}"] = f"{place}-{short}"
            if (text := typed(self.values, f"{place}-{short}")) and (kind != KINDS[2] or short == "elapsed"):
                told[name] = seconds(text)
        if kind == KINDS[0]:
            told["sets"] = list(self._sets(block, place, f"{at}/sets", body))
        elif kind == KINDS[1]:
            told |= self._totals(block, place, at, body)
        elif text := typed(self.values, f"{place}-left"):
            body.places[f"{at}/rir"] = f"{place}-left"
            told["rir"] = number(text)
        return told

    def _sets(self, block: Block, place: int, at: str, body: Body) -> Iterator[dict[str, Any]]:
        """The rows that are ticked, in their order."""
        units = {item.key: item.unit for item in block.items}
        body.places[at] = f"{place}-how"
        count = 0
        for row in Filled(self.values).rows(place) or []:
            own = f"{place}-{row}"
            if not typed(self.values, f"{own}-done"):
                continue
            work, _, variation = typed(self.values, f"{own}-what").partition(" ")
            unit, pointer = units.get(work, "repetitions"), f"{at}/{count}"
            body.places[pointer] = f"{own}-amount"
            body.places |= {f"{pointer}/{name}": f"{own}-what" for name in ("work", "variation")}
            body.places[f"{pointer}/ended_by"] = f"{own}-ended"
            told: dict[str, Any] = {"work": work, "variation": variation}
            if amount := typed(self.values, f"{own}-amount"):
                told[unit] = number(amount)
            for short, name in SET_FIELDS.items():
                body.places[f"{pointer}/{name}"] = f"{own}-{short}"
                if text := typed(self.values, f"{own}-{short}"):
                    told[name] = self._value(own, short, text)
            told["ended_by"] = typed(self.values, f"{own}-ended")
            count += 1
            yield told

    def _value(self, own: str, short: str, text: str) -> Any:
        if short in ("load", "assistance"):
            return self.weights.read(text, self.values.get(f"{own}-{short}_kg", ""))
        return number(text)

    def _totals(self, block: Block, place: int, at: str, body: Body) -> dict[str, Any]:
        told: dict[str, Any] = {}
        for short, name in (("breaks", "breaks"), ("misses", "misses"), ("smallest", "smallest_interval")):
            body.places[f"{at}/{name}"] = f"{place}-{short}"
            if text := typed(self.values, f"{place}-{short}"):
                told[name] = number(text)
        body.places[f"{at}/heaviest_kg"] = f"{place}-heaviest"
        if text := typed(self.values, f"{place}-heaviest"):
            told["heaviest_kg"] = self.weights.read(text, "")
        body.places[child(at, "work")] = f"{place}-total-0"
        work: list[dict[str, Any]] = []
        for index, item in enumerate(block.items):
            if text := typed(self.values, f"{place}-total-{index}"):
                body.places[child(at, "work", len(work))] = f"{place}-total-{index}"
                work.append({"work": item.key, item.unit: number(text)})
        return {**told, "work": work}
