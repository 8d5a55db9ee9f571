"""The log that an athlete fills in: block by block a row for each planned set, or totals, or "as prescribed"."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from programming.calc.revision import Block
from programming.plans import SessionPlan
from scoring.brief_rules import run_line
from scoring.brief_words import clock
from scoring.names import Names, names_of
from scoring.own_version import own_block
from scoring.words import noun, units_said
from services.console.my_clock_rules import clock_rules
from services.console.my_fields import Choices, Field, Weights
from services.console.my_planned import chosen_of, planned_sets

MOST_ROWS: Final = 40
"""Rows that are laid out for a session, so that page and form stay within their bounds (300 KB, 1000 fields); whoever
does more sets adds rows, or tells it in all.
"""
SETTINGS: Final = ("load", "assistance", "height")
NEW: Final = "new"
"""In place of the number of a row that is added on the page."""
ENDED: Final[Choices] = (
    ("planned", "I stopped as planned"),
    ("failure", "I could not do another"),
    ("clock", "The clock ended it"),
    ("no_rep", "It was not counted"),
    ("pain", "Pain"),
    ("other", "Something else"),
)
WAYS: Final = {
    "set_log": "Set by set",
    "totals": "In all, without sets",
    "as_prescribed": "All done as prescribed",
}
LEFT_OUT: Final = ("none", "Not done")
DONE: Final = {
    "repetitions": "Repetitions",
    "hold_s": "Seconds held",
    "distance_m": "Metres",
    "energy_kcal": "Kilocalories",
}


@dataclass(frozen=True)
class Row:
    """A set: what it is, what is planned of it, and its fields by their short names."""

    key: str
    title: str
    target: str
    fields: Mapping[str, Field]
    work: str
    planned_rest_s: float | None

    @property
    def front(self) -> list[Field]:
        """What is looked at for every set: of the settings those that are used."""
        used = [self.fields[short] for short in SETTINGS if self.fields[short].value]
        return [self.fields["amount"], *used, *(self.fields[short] for short in ("reserve", "ended", "rest"))]

    @property
    def more(self) -> list[Field]:
        shown = {one.name for one in self.front}
        further = ("what", *SETTINGS, "seconds", "interval")
        return [
            self.fields[short]
            for short in further
            if short in self.fields and self.fields[short].name not in shown
        ]

    @property
    def more_is_wrong(self) -> bool:
        return any(one.error for one in self.more)

    @property
    def is_done(self) -> bool:
        return bool(self.fields["done"].value)


@dataclass(frozen=True)
class LogBlock:
    """One block; rules: what the clock on the page goes by."""

    number: int
    key: str
    name: str
    run: str
    how: Field
    rows: Sequence[Row]
    spare: Row
    left: int
    totals: Sequence[Field]
    at_end: Field
    whole: Sequence[Field]
    rules: Mapping[str, Any]


@dataclass(frozen=True)
class Filled:
    """What stands in the fields: what was typed, and what is wrong with it; typed None: what is planned."""

    typed: Mapping[str, str] | None = None
    errors: Mapping[str, str] = field(default_factory=dict)

    def field(self, name: str, label: str, planned: str = "", **about: Any) -> Field:
        value = planned if self.typed is None else self.typed.get(name, "")
        return Field(name, label, value, self.errors.get(name, ""), **about)

    def rows(self, block: int) -> list[str] | None:
        """The numbers of the rows that were sent of a block, in their order; None: those of the plan."""
        if self.typed is None:
            return None
        return [name.split("-")[1] for name in self.typed if _is_row(name, block)]


def _is_row(name: str, block: int) -> bool:
    parts = name.split("-")
    return len(parts) == 3 and parts[0] == str(block) and parts[2] == "what"


@dataclass(frozen=True)
class Writer:
    """Lays out the log of one session for one athlete; content: of the prescription, None without one."""

    plan: SessionPlan
    content: Mapping[str, Any] | None
    weights: Weights
    filled: Filled

    @property
    def names(self) -> Names:
        return names_of(self.plan)

    def blocks(self) -> list[LogBlock]:
        return [self._block(number, block) for number, block in enumerate(self.plan.doc.blocks)]

    def _block(self, number: int, written: Block) -> LogBlock:
        content = self.content or {}
        block, names = own_block(written, content), self.names
        planned = list(planned_sets(block, content, names))
        several = len(self.plan.doc.blocks) > 1
        numbers = self.filled.rows(number)
        most = MOST_ROWS // len(self.plan.doc.blocks)
        shown = [str(one) for one in range(min(len(planned), most))] if numbers is None else numbers
        ways = [one for one in WAYS.items() if one[0] != "as_prescribed" or planned]
        ways += [LEFT_OUT] if several else []
        return LogBlock(
            number=number,
            key=block.key,
            name=f"{names.block(block.key)[0].upper()}{names.block(block.key)[1:]}" if several else "",
            run=run_line(block, ""),
            how=self.filled.field(f"{number}-how", "How you tell it", "set_log", kind="ways", choices=ways),
            rows=[self._row(block, number, one, _at(planned, one)) for one in shown],
            spare=self._row(block, number, NEW, {}),
            left=max(0, len(planned) - most) if numbers is None else 0,
            totals=list(self._totals(block, number)),
            at_end=self.filled.field(f"{number}-left", "Left in reserve at the end"),
            whole=list(self._whole(block, number)),
            rules=clock_rules(block, names),
        )

    def _row(self, block: Block, number: int, row: str, planned: Mapping[str, Any]) -> Row:
        key, unit = f"{number}-{row}", planned.get("unit", "")
        amount = planned.get("amount")
        rest = planned.get("rest_before_s")
        what = f"{planned['work']} {planned['variation']}" if planned else ""
        choices = list(self._versions(block, planned.get("work")))
        told: dict[str, tuple[str, str, dict[str, Any]]] = {
            "done": ("Done", "", {"kind": "check"}),
            "what": ("What you did", what or choices[0][0], {"kind": "choice", "choices": choices}),
            "amount": (DONE.get(unit, "Amount"), "" if amount is None else f"{amount:g}", {}),
            "load": (f"Load, {self.weights.unit}", self.weights.shown(planned.get("load_kg")), {}),
            "assistance": (
                f"Assistance, {self.weights.unit}",
                self.weights.shown(planned.get("assistance_kg")),
                {},
            ),
            "height": ("Height, cm", _plain(planned.get("height_cm")), {}),
            "ended": ("Why it ended", "planned", {"kind": "choice", "choices": ENDED}),
            "reserve": ("In reserve", "", {}),
            "rest": ("Rest before, s", _plain(rest), {}),
            "seconds": ("Took, s", _plain(planned.get("duration_s")), {}),
            "interval": ("Interval", "", {}),
            "load_kg": ("", _plain(planned.get("load_kg")), {}),
            "assistance_kg": ("", _plain(planned.get("assistance_kg")), {}),
        }
        if block.rules.intervals is None:
            del told["interval"]
        fields = {
            short: self.filled.field(f"{key}-{short}", label, value, **about)
            for short, (label, value, about) in told.items()
        }
        return Row(
            key=key,
            title=self.weights.said(planned["said"]) if planned else "Another set",
            target=_target(planned),
            fields=fields,
            work=planned.get("work", ""),
            planned_rest_s=rest,
        )

    def _versions(self, block: Block, work: str | None) -> Iterator[tuple[str, str]]:
        """("work variation", name) of what a set may be of, easiest first."""
        names = self.names
        items = [item for item in block.items if work in (None, item.key)]
        for item in items:
            chosen = chosen_of(self.content or {}, item.key)
            known = sorted(
                (one for one in self.plan.variations.items() if one[1].movement.key == item.movement),
                key=lambda one: one[1].variation.rung,
            )
            allowed = {*item.variations, chosen.get("variation")} if item.variations else None
            for key, entry in known:
                if allowed is None or key in allowed:
                    unit = "" if work else f" ({units_said(item.unit)})"
                    twice = names.work(item.key) if work is None and len(items) > 1 else ""
                    said = f"{twice}: {entry.name}{unit}" if twice else f"{entry.name}{unit}"
                    yield f"{item.key} {key}", said

    def _whole(self, block: Block, number: int) -> Iterator[Field]:
        """Of the block, however it is told."""
        yield self.filled.field(
            f"{number}-elapsed", "Time on the clock", kind="timing", after="minutes:seconds"
        )
        if block.rules.tie_break == "split_time":
            split = self.names.work(block.rules.split or "")
            yield self.filled.field(
                f"{number}-split",
                f"On the clock when {split} was done",
                kind="timing",
                after="minutes:seconds",
            )

    def _totals(self, block: Block, number: int) -> Iterator[Field]:
        for index, item in enumerate(block.items):
            yield self.filled.field(
                f"{number}-total-{index}",
                f"{self.names.work(item.key)}, in all",
                after=units_said(item.unit),
            )
        if block.rules.break_rule.counts != "none":
            yield self.filled.field(f"{number}-breaks", "Breaks")
        if block.rules.intervals is not None or block.rules.order == "attempts":
            yield self.filled.field(f"{number}-misses", "Missed")
        if block.rules.scored == "smallest_interval":
            yield self.filled.field(f"{number}-smallest", "Least done in an interval")
        if block.rules.scored == "load":
            yield self.filled.field(
                f"{number}-heaviest", "Heaviest load that succeeded", after=self.weights.unit
            )


def _at(planned: Sequence[Mapping[str, Any]], number: str) -> Mapping[str, Any]:
    return planned[int(number)] if number.isdigit() and int(number) < len(planned) else {}


def _target(planned: Mapping[str, Any]) -> str:
    if not planned or planned["amount"] is None:
        return ""
    much = f"{planned['amount']:g} {noun(planned['amount'], units_said(planned['unit']))}"
    rest = planned["rest_before_s"]
    return f"{much}, after {clock(rest)} of rest" if rest else much


def _plain(value: float | None) -> str:
    return "" if value is None else f"{value:g}"
