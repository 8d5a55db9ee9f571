"""The fields of the page for writing as they stand on it: in parts, with what is wrong and what is stored now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import unquote

from programming.calc.document import MAX_BLOCKS
from programming.calc.document_work import MAX_CONDITIONS, MAX_ITEMS
from programming.calc.revision import REPETITIONS
from services.console.write_form import blocks_in, rows_in
from services.console.write_slots import AIM, BLOCK, UNIT, WHOLE, WORK, Choices, Slot

LETTERS: Final = "abcdefghijkl"
LISTS: Final = {"movement": "movements", "variation": "variations"}
"""The list of names that a field offers."""


@dataclass(frozen=True)
class Asked:
    """One field. offers: the id of a list of names; stored: what stands there now, where somebody else was faster."""

    name: str
    label: str
    kind: str
    value: str
    error: str = ""
    choices: Choices = ()
    offers: str = ""
    stored: str = ""

    @property
    def id(self) -> str:
        return f"f-{self.name}"


@dataclass(frozen=True)
class BlockAsked:
    """rare_open: whether something stands in the fields that are seldom needed, or is wrong with one."""

    place: int
    usual: list[Asked]
    rare: list[Asked]
    rare_open: bool
    work: Sequence[list[Asked]]
    aim: Sequence[list[Asked]]


@dataclass(frozen=True)
class Fault:
    """What keeps the session from being published: at a field, or (field "") at a place that has none."""

    field: str
    label: str
    detail: str


@dataclass(frozen=True)
class Fields:
    """Values as they were typed, errors by field, and where it is a conflict what is stored by now."""

    values: Mapping[str, str]
    errors: Mapping[str, str]
    now: Mapping[str, str] | None = None

    def whole(self, *, rare: bool) -> list[Asked]:
        return [self._of(slot, "") for slot in WHOLE if slot.rare is rare]

    def everything(self) -> list[Asked]:
        """All fields that stand on the page, the name of the template too."""
        name = Slot("name", ("name",), "What you call it")
        parts = [[self._of(name, "")], self.whole(rare=False), self.whole(rare=True)]
        for block in self.blocks():
            parts += [block.usual, block.rare, *block.work, *block.aim]
        return [one for part in parts for one in part]

    def blocks(self, spare: int = 0) -> list[BlockAsked]:
        """Those that there are, and `spare` empty ones."""
        there = blocks_in(self.values)
        places = [*there, *(place for place in range(MAX_BLOCKS) if place not in there)]
        return [self._block(place) for place in sorted(places[: max(1, len(there) + spare)])]

    def _block(self, place: int) -> BlockAsked:
        own = f"{place}-"
        asked = {rare: [self._of(slot, own) for slot in BLOCK if slot.rare is rare] for rare in (False, True)}
        return BlockAsked(
            place=place,
            usual=asked[False],
            rare=asked[True],
            rare_open=any(one.value or one.error for one in asked[True]),
            work=[self._work(f"{own}w{row}-", row) for row in self._rows(f"{own}w", WORK, MAX_ITEMS)],
            aim=[
                [self._of(slot, f"{own}c{row}-") for slot in AIM]
                for row in self._rows(f"{own}c", AIM, MAX_CONDITIONS)
            ],
        )

    def _rows(self, prefix: str, slots: Sequence[Slot], most: int) -> list[int]:
        """Those that are filled, and the first that is empty."""
        filled = list(rows_in(self.values, prefix, slots))
        return sorted([*filled, *[row for row in range(most) if row not in filled][:1]])

    def _work(self, own: str, row: int) -> list[Asked]:
        """The amount with its unit stands behind the movement."""
        listed = [self._of(slot, own) for slot in WORK]
        if not listed[0].value:
            listed[0] = Asked(listed[0].name, listed[0].label, "letter", LETTERS[row], listed[0].error)
        amount = self._of(Slot("amount", (), "Amount (empty: as much as possible)", "number"), own)
        unit = self._of(Slot("unit", (), "Counted in", "choice", UNIT), own, REPETITIONS)
        return [*listed[:2], amount, unit, *listed[2:]]

    def _of(self, slot: Slot, prefix: str, usual: str = "") -> Asked:
        name = prefix + slot.name
        value = self.values.get(name, usual)
        stored = ""
        if self.now is not None and self.now.get(name, usual) != value:
            stored = self._said(slot, self.now.get(name, "")) or "nothing"
        return Asked(
            name=name,
            label=slot.label,
            kind=slot.kind,
            value=value,
            error=self.errors.get(name, ""),
            choices=slot.choices,
            offers=LISTS.get(slot.kind, ""),
            stored=stored,
        )

    def _said(self, slot: Slot, value: str) -> str:
        return dict(slot.choices).get(value, value)


def pointer_below(pointer: str, below: str) -> str:
    """Where a fault of a body is in the document that stands at `below`; as a plain JSON pointer."""
    return unquote(pointer.removeprefix("#")).removeprefix(below)


def said_plainly(detail: str) -> str:
    """Without the marks that set names of fields apart."""
    return detail.replace("`", "")


def labels() -> dict[str, str]:
    """What each kind of field is called, by the end of its name."""
    slots: list[Any] = [*WHOLE, *BLOCK, *WORK, *AIM]
    return {slot.name: slot.label for slot in slots} | {"amount": "Amount", "unit": "Counted in"}
