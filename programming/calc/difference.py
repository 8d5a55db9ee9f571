"""What was changed between two revisions, in sentences with pointers into both documents.

The parsed documents are compared, so that spelling (30.0 for 30, null for a field left out) is no difference.
Blocks and work items are the same when their keys are, conditions when they are on the same thing. Fields that
no rule below knows are compared all the same: nothing that differs stays unsaid.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from functools import partial
from typing import Any, Final, TypeAlias

from programming.calc.difference_words import (
    amount_said,
    condition_named,
    excerpts,
    item_said,
    label,
    plain,
    said,
    window_said,
)
from programming.calc.revision import Aim, AsWritten, Block, Condition, RevisionDoc, Texts, WorkItem

_Compare: TypeAlias = Callable[[Any, Any, "_At"], Iterator["Difference"]]

# Where the document calls a field otherwise than the code does.
_NAMES: Final = {"break_rule": "break"}


@dataclass(frozen=True)
class Difference:
    """One change.

    pointer         JSON pointer into the later document, None where something is gone
    pointer_before  into the earlier one, None where something is new
    part            blocks, work, variations, load, rules, aim, texts, title, quality, overall
    """

    pointer: str | None
    pointer_before: str | None
    part: str
    sentence: str


@dataclass(frozen=True)
class _At:
    """Where the two values stand, and how the place is called."""

    before: str
    after: str
    part: str
    where: str

    def __truediv__(self, name: str | int) -> _At:
        return _At(f"{self.before}/{name}", f"{self.after}/{name}", self.part, self.where)

    def changed(self, sentence: str) -> Difference:
        return Difference(self.after, self.before, self.part, f"{self.where}{sentence}")


def differences(before: RevisionDoc, after: RevisionDoc) -> tuple[Difference, ...]:
    """Every change from one document to the other, () when they say the same."""
    special: dict[str, _Compare] = {"texts": _texts, "blocks": _blocks}
    found: list[Difference] = []
    for field in fields(RevisionDoc):
        at = _At(f"/{field.name}", f"/{field.name}", field.name, "")
        old, new = getattr(before, field.name), getattr(after, field.name)
        found += special.get(field.name, _any_field(field.name))(old, new, at)
    return tuple(found)


def _any_field(name: str) -> _Compare:
    return lambda old, new, at: _walk(old, new, at, name)


def _walk(old: Any, new: Any, at: _At, name: str) -> Iterator[Difference]:
    """Two values of the same field, whatever they are."""
    if old == new:
        return
    if isinstance(old, WorkItem) and isinstance(new, WorkItem) and old.key == new.key:
        yield from _item(old, new, _At(at.before, at.after, "work", f"{at.where}{label(name)}, "))
    elif name == "tables":
        yield from _tables(dict(old), dict(new), at)
    elif is_dataclass(old) and type(old) is type(new):
        for field in fields(old):
            inner = at / _NAMES.get(field.name, field.name)
            yield from _walk(getattr(old, field.name), getattr(new, field.name), inner, field.name)
    else:
        words = f"{label(name)} is now {said(new, name)}, before {said(old, name)}."
        yield at.changed(words if at.where else _capital(words))


def _tables(old: Mapping[str, Any], new: Mapping[str, Any], at: _At) -> Iterator[Difference]:
    for key in sorted(old.keys() | new.keys()):
        before, after, here = old.get(key), new.get(key), at / key
        if before != after:
            words = f"The point table of block {key} is now {said(after)}, before {said(before)}."
            yield _sided(here, before, after, words)


def _texts(old: Texts, new: Texts, at: _At) -> Iterator[Difference]:
    for field in fields(Texts):
        before, after = getattr(old, field.name), getattr(new, field.name)
        if before != after:
            was, now = excerpts(before, after)
            yield (at / field.name).changed(f"The text “{plain(field.name)}” says {now}, before {was}.")


def _blocks(old: Sequence[Block], new: Sequence[Block], at: _At) -> Iterator[Difference]:
    for before, after, here in _matched(old, new, at, lambda block: block.key):
        where = f"Block {(before or after).key}"
        if before is None or after is None:
            one = before or after
            told = f"{where} was {'added' if before is None else 'taken out'}: {_block_said(one)}."
            yield _sided(here, before, after, told)
        else:
            yield from _block(before, after, _At(here.before, here.after, "blocks", f"{where}: "))
    yield from _order(old, new, at, "The blocks come", lambda block: block.key)


def _block_said(block: Block) -> str:
    return "; ".join(item_said(item) for item in block.work)


def _block(old: Block, new: Block, at: _At) -> Iterator[Difference]:
    works = _works_named((*old.items, *new.items))
    special: dict[str, _Compare] = {"work": _work, "aim": partial(_aim, works=works)}
    for field in fields(Block):
        here = at / field.name
        part = _At(here.before, here.after, field.name, at.where)
        compare = special.get(field.name, _any_field(field.name))
        yield from compare(getattr(old, field.name), getattr(new, field.name), part)


def _work(old: Sequence[WorkItem], new: Sequence[WorkItem], at: _At) -> Iterator[Difference]:
    for before, after, here in _matched(old, new, at, lambda item: item.key):
        if before is None or after is None:
            one = before or after
            verb = "was added" if before is None else "was taken out"
            yield _sided(here, before, after, f"{at.where}work {one.key} {verb}: {item_said(one)}.")
        else:
            yield from _item(before, after, _At(here.before, here.after, "work", at.where))
    yield from _order(old, new, at, "the work comes", lambda item: item.key)


def _item(old: WorkItem, new: WorkItem, at: _At) -> Iterator[Difference]:
    here = _At(at.before, at.after, at.part, f"{at.where}work {new.key} ({plain(new.movement)}): ")
    if (old.amount, old.unit) != (new.amount, new.unit):
        words = f"{amount_said(new.amount, new.unit)}, before {amount_said(old.amount, old.unit)}."
        yield Difference(f"{at.after}/{new.unit}", f"{at.before}/{old.unit}", "work", here.where + words)
    special: dict[str, _Compare] = {
        "variations": _variations,
        "as_written": _as_written,
    }
    for field in fields(WorkItem):
        if field.name not in ("amount", "unit"):
            compare = special.get(field.name, _any_field(field.name))
            yield from compare(getattr(old, field.name), getattr(new, field.name), here / field.name)


def _as_written(old: AsWritten, new: AsWritten, at: _At) -> Iterator[Difference]:
    for field in fields(AsWritten):
        before, after = getattr(old, field.name), getattr(new, field.name)
        if before != after:
            name, here = field.name, at / field.name
            told = f"{_setting(name)}{said(after, name)} as written, before {said(before, name)}."
            part = "variations" if name == "variation" else "load"
            yield Difference(here.after, here.before, part, at.where + told)


def _setting(name: str) -> str:
    return "" if name == "variation" else f"{plain(name.rsplit('_', 1)[0])} "


def _variations(old: tuple[str, ...], new: tuple[str, ...], at: _At) -> Iterator[Difference]:
    here = _At(at.before, at.after, "variations", at.where)
    if old == new:
        return
    if not old or not new:
        told = [f"only {said(listed)}" if listed else "every variation" for listed in (old, new)]
        yield here.changed(f"allowed is now {told[1]}, before {told[0]}.")
        return
    for index, key in enumerate(old):
        if key not in new:
            told_gone = f"{here.where}{plain(key)} is not allowed any more."
            yield Difference(None, f"{here.before}/{index}", here.part, told_gone)
    for index, key in enumerate(new):
        if key not in old:
            yield Difference(
                f"{here.after}/{index}", None, here.part, f"{here.where}{plain(key)} is allowed now."
            )
    yield from _order(old, new, here, "the variations are listed", lambda key: key)


def _works_named(items: Sequence[WorkItem]) -> dict[str, str]:
    """By key the movement; where the block has it more than once, with the key that tells them apart."""
    named = {item.key: plain(item.movement) for item in items}
    twice = {name for name, count in Counter(named.values()).items() if count > 1}
    return {key: f"{name} ({key})" if name in twice else name for key, name in named.items()}


def _aim(old: Aim, new: Aim, at: _At, works: Mapping[str, str]) -> Iterator[Difference]:
    special: dict[str, _Compare] = {"conditions": partial(_conditions, works=works)}
    for field in fields(Aim):
        compare = special.get(field.name, _any_field(field.name))
        yield from compare(getattr(old, field.name), getattr(new, field.name), at / field.name)


def _conditions(
    old: Sequence[Condition], new: Sequence[Condition], at: _At, works: Mapping[str, str]
) -> Iterator[Difference]:
    before, after = _numbered(old, works), _numbered(new, works)
    for one, other, here in _matched(before, after, at, lambda entry: entry[0]):
        if one is None or other is None:
            (_, condition), verb = one or other, "is no condition any more" if other is None else "is new"
            told = f"{at.where}{condition_named(condition, works)} {verb}: {window_said(condition)}."
            yield _sided(here, one, other, told)
        elif one[1] != other[1]:
            words = (
                f"{condition_named(other[1], works)} is now {window_said(other[1])},"
                f" before {window_said(one[1])}."
            )
            yield here.changed(words)
    yield from _order(before, after, at, "the conditions come", lambda entry: entry[0])


def _numbered(conditions: Sequence[Condition], works: Mapping[str, str]) -> list[tuple[str, Condition]]:
    """Each condition with what it is on; the second one on the same thing is told from the first."""
    seen: dict[str, int] = {}
    found = []
    for condition in conditions:
        name = condition_named(condition, works)
        seen[name] = seen.get(name, 0) + 1
        found.append((name if seen[name] == 1 else f"{name} ({seen[name]})", condition))
    return found


def _matched(
    old: Sequence[Any], new: Sequence[Any], at: _At, key: Callable[[Any], str]
) -> Iterator[tuple[Any, Any, _At]]:
    """(earlier, later, where) by key: those that are gone, then the later ones in their order."""
    places = {key(entry): index for index, entry in enumerate(old)}
    kept = {key(entry) for entry in new}
    for name, index in places.items():
        if name not in kept:
            yield old[index], None, at / index
    for index, entry in enumerate(new):
        place = places.get(key(entry))
        before = None if place is None else old[place]
        here = _At(
            f"{at.before}/{index if place is None else place}", f"{at.after}/{index}", at.part, at.where
        )
        yield before, entry, here


def _sided(at: _At, before: Any, after: Any, sentence: str) -> Difference:
    """Of something that is new or gone, or of both sides."""
    pointers = (None if after is None else at.after), (None if before is None else at.before)
    return Difference(*pointers, at.part, _capital(sentence))


def _order(
    old: Sequence[Any], new: Sequence[Any], at: _At, what: str, key: Callable[[Any], str]
) -> Iterator[Difference]:
    """Whether what stayed stands in another order now."""
    was, now = [key(entry) for entry in old], [key(entry) for entry in new]
    stayed_was, stayed_now = [k for k in was if k in now], [k for k in now if k in was]
    if stayed_was != stayed_now:
        listed = [", ".join(plain(k) for k in keys) for keys in (stayed_now, stayed_was)]
        yield at.changed(f"{what} in the order {listed[0]}, before {listed[1]}.")


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
