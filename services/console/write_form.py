"""From a revision document to the fields of the page for writing, and back.

Whatever a document holds that the fields have no place for is not lost: such a document is written as text. So the
way there and back is tried (`fits`) before the fields are offered.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from rest_framework.exceptions import ParseError

from programming.calc.document import MAX_BLOCKS
from programming.calc.document_work import MAX_CONDITIONS, MAX_ITEMS
from programming.calc.revision import REPETITIONS, UNITS
from scoring.brief_words import clock
from services.api.parsers import parse_json
from services.console.my_fields import number, seconds, typed
from services.console.placed import Placed
from services.console.write_slots import AIM, BLOCK, WHOLE, WORK, Slot

AS_TEXT: Final = "document"
"""The field that holds the whole document where it is written as text."""


@dataclass(frozen=True)
class Catalogue:
    """Names by key, of movements and variations; what is typed may be either."""

    movements: Mapping[str, str]
    variations: Mapping[str, str]

    def named(self, kind: str, key: str) -> str:
        """The name where it is that of one key alone, else the key."""
        names = self._names(kind)
        name = names.get(key, key)
        return name if [*names.values()].count(name) == 1 else key

    def key(self, kind: str, text: str) -> str:
        """What was typed as a key; the text itself where it is neither a name nor a key."""
        found = [key for key, name in self._names(kind).items() if name.casefold() == text.casefold()]
        return found[0] if len(found) == 1 else text

    def offered(self, kind: str) -> list[str]:
        """What a field offers."""
        return [self.named(kind, key) for key in self._names(kind)]

    def _names(self, kind: str) -> Mapping[str, str]:
        return self.movements if kind == "movement" else self.variations


@dataclass
class Written(Placed):
    """A document, and by JSON pointer which field each part of it came from."""

    document: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Form:
    """Reads and fills the fields."""

    catalogue: Catalogue

    # From the document to the fields.

    def filled(self, document: Mapping[str, Any]) -> dict[str, str]:
        """The fields by name; what has no place in them is left out."""
        values = self._filled(document, WHOLE, "")
        for place, block in enumerate(_listed(document.get("blocks"))[:MAX_BLOCKS]):
            own = f"{place}-"
            values |= self._filled(block, BLOCK, own)
            for row, item in enumerate(_listed(block.get("work"))[:MAX_ITEMS]):
                values |= self._filled(item, WORK, f"{own}w{row}-") | _amount_filled(item, f"{own}w{row}-")
            aim = block.get("aim")
            conditions = _listed(aim.get("conditions") if isinstance(aim, Mapping) else None)
            for row, one in enumerate(conditions[:MAX_CONDITIONS]):
                values |= self._filled(one, AIM, f"{own}c{row}-", timed=one.get("kind") == "time")
        return values

    def _filled(
        self, part: Mapping[str, Any], slots: Sequence[Slot], prefix: str, *, timed: bool = False
    ) -> dict[str, str]:
        found = {}
        for slot in slots:
            value = _at(part, slot.path)
            if value is not None:
                found[prefix + slot.name] = self._shown(slot.kind, value, timed=timed)
        return found

    def _shown(self, kind: str, value: Any, *, timed: bool) -> str:
        if kind in ("movement", "variation"):
            return self.catalogue.named(kind, str(value))
        if kind == "variations" and isinstance(value, list):
            return "; ".join(self.catalogue.named("variation", str(one)) for one in value)
        if kind == "numbers" and isinstance(value, list):
            return "; ".join(_number_shown(one) for one in value)
        if kind == "flag":
            return "yes" if value is True else "" if value is False else str(value)
        if (kind == "timing" or (kind == "bound" and timed)) and _is_whole(value):
            return clock(value)
        return _number_shown(value)

    # From the fields to the document.

    def written(self, values: Mapping[str, str]) -> Written:
        """The document that the fields make; rows in which nothing is named are left out."""
        found = Written()
        self._write(found, values, WHOLE, "", found.document, "")
        blocks: list[dict[str, Any]] = []
        for place in blocks_in(values):
            own, at = f"{place}-", f"/blocks/{len(blocks)}"
            block: dict[str, Any] = {}
            found.places[at] = f"{own}key"
            self._write(found, values, BLOCK, own, block, at)
            block["work"] = self._rows(found, values, WORK, f"{own}w", f"{at}/work", "movement")
            conditions = self._rows(found, values, AIM, f"{own}c", f"{at}/aim/conditions", "kind")
            block["aim"] = {"conditions": conditions}
            blocks.append(block)
        found.document["blocks"] = blocks
        return found

    def _rows(
        self,
        found: Written,
        values: Mapping[str, str],
        slots: Sequence[Slot],
        prefix: str,
        at: str,
        named_by: str,
    ) -> list[dict[str, Any]]:
        rows: list[dict[str, Any]] = []
        found.places[at] = f"{prefix}0-{named_by}"
        for row in rows_in(values, prefix, slots):
            own, here = f"{prefix}{row}-", f"{at}/{len(rows)}"
            part: dict[str, Any] = {}
            found.places[here] = f"{own}{named_by}"
            if named_by == "movement":
                _write_amount(found, values, own, part, here)
            self._write(found, values, slots, own, part, here)
            rows.append(part)
        return rows

    def _write(
        self,
        found: Written,
        values: Mapping[str, str],
        slots: Sequence[Slot],
        prefix: str,
        part: dict[str, Any],
        at: str,
    ) -> None:
        timed = typed(values, f"{prefix}kind") == "time"
        for slot in slots:
            own = prefix + slot.name
            pointer = "/".join((at, *slot.path))
            found.places[pointer] = own
            for depth in range(1, len(slot.path)):
                found.places.setdefault("/".join((at, *slot.path[:depth])), own)
            text = values.get(own, "") if slot.kind == "long" else typed(values, own)
            if text:
                _put(part, slot.path, self._read(slot.kind, text, timed=timed))

    def _read(self, kind: str, text: str, *, timed: bool) -> Any:
        """What was typed; what cannot be read is handed on, so that the check says what is wrong with it."""
        if kind in ("movement", "variation"):
            return self.catalogue.key(kind, text)
        if kind == "variations":
            return [self.catalogue.key("variation", one) for one in _parts(text)]
        if kind == "numbers":
            return [number(one) for one in _parts(text)]
        if kind == "flag":
            return True if text == "yes" else text
        if kind == "timing" or (kind == "bound" and timed):
            return seconds(text)
        if kind in ("number", "bound"):
            return number(text)
        return text.replace("\r\n", "\n")

    def fits(self, document: Mapping[str, Any]) -> bool:
        """Whether the fields hold all that the document says."""
        again = self.written(self.filled(document)).document
        return bool(without_blanks(again) == without_blanks(document))


def blocks_in(values: Mapping[str, str]) -> list[int]:
    """The blocks that the fields speak of, without those that are to be left out."""
    there = {name.partition("-")[0] for name in values if "-" in name}
    return [
        place for place in range(MAX_BLOCKS) if str(place) in there and not typed(values, f"{place}-drop")
    ]


def rows_in(values: Mapping[str, str], prefix: str, slots: Sequence[Slot]) -> Iterator[int]:
    """Rows with something in them, beside the letter and the unit that stand there from the beginning."""
    most = MAX_ITEMS if slots is WORK else MAX_CONDITIONS
    for row in range(most):
        told = (f"{prefix}{row}-{slot.name}" for slot in slots if slot.name != "key")
        if any(typed(values, name) for name in (*told, f"{prefix}{row}-amount")):
            yield row


def without_blanks(value: Any) -> Any:
    """A document without what says nothing: null, an empty text or list, false. Null amounts mean something."""
    if isinstance(value, Mapping):
        kept = {key: without_blanks(member) for key, member in value.items()}
        return {key: member for key, member in kept.items() if key in UNITS or not _blank(member)}
    return [without_blanks(one) for one in value] if isinstance(value, list) else value


def document_in(text: str) -> Mapping[str, Any] | str:
    """The document that was written as text, or what is wrong with the text; read as strictly as the interface does,
    since what it refuses (too deep, half a character, a number beyond all) is nothing to go on with here either.
    """
    try:
        found = parse_json(text.encode())
    except ParseError as error:
        return str(error.detail).replace("The body is not JSON", "This is no JSON").replace("body", "text")
    return found if isinstance(found, Mapping) else "Write a JSON object, in braces."


def _blank(value: Any) -> bool:
    return value is None or value is False or value == "" or value == [] or value == {}


def _listed(value: Any) -> list[Mapping[str, Any]]:
    """A list of objects; whatever else stands there has no place in the fields."""
    return [one for one in value if isinstance(one, Mapping)] if isinstance(value, list) else []


def _at(part: Any, path: Sequence[str]) -> Any:
    for name in path:
        if not isinstance(part, Mapping):
            return None
        part = part.get(name)
    return part


def _put(part: dict[str, Any], path: Sequence[str], value: Any) -> None:
    for name in path[:-1]:
        part = part.setdefault(name, {})
    part[path[-1]] = value


def _parts(text: str) -> list[str]:
    return [one.strip() for one in text.split(";") if one.strip()]


def _is_whole(value: Any) -> bool:
    return not isinstance(value, bool) and isinstance(value, (int, float)) and float(value).is_integer()


def _number_shown(value: Any) -> str:
    return str(int(value)) if _is_whole(value) else str(value)


def _amount_filled(item: Mapping[str, Any], prefix: str) -> dict[str, str]:
    unit = next((unit for unit in UNITS if unit in item), None)
    if unit is None:
        return {}
    amount = item[unit]
    return {f"{prefix}unit": unit, f"{prefix}amount": "" if amount is None else _number_shown(amount)}


def _write_amount(found: Written, values: Mapping[str, str], own: str, part: dict[str, Any], at: str) -> None:
    unit, text = typed(values, f"{own}unit") or REPETITIONS, typed(values, f"{own}amount")
    found.places |= {f"{at}/{one}": f"{own}amount" for one in UNITS}
    part[unit] = number(text) if text else None
