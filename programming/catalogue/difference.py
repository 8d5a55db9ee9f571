"""What an organisation's copy of a catalogue entry says otherwise than the shipped one, in words."""

from collections.abc import Mapping
from dataclasses import dataclass

IDENTITY = frozenset({"key", "movement"})


@dataclass(frozen=True)
class Difference:
    """One field: what it says here and what is shipped; None where it says nothing."""

    field: str
    here: str | None
    shipped: str | None


def differences(here: Mapping[str, object], shipped: Mapping[str, object]) -> tuple[Difference, ...]:
    """Of two documents, by field; an absent field, null and an empty list say the same: nothing.

    The identity is left out: an organisation keeps its keys. The order of lists that are sets does not count,
    nor does 1 against 1.0.
    """
    found = []
    for name in sorted((here.keys() | shipped.keys()) - IDENTITY):
        ours, theirs = (_words(document.get(name)) for document in (here, shipped))
        if ours != theirs:
            found.append(Difference(name, ours, theirs))
    return tuple(found)


def _words(value: object) -> str | None:
    """A value as a person reads it; equal values have equal words."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return repr(float(value)).removesuffix(".0")
    if isinstance(value, str):
        return value or None
    if isinstance(value, Mapping):
        pairs = ((str(name), _words(part)) for name, part in value.items())
        return ", ".join(sorted(f"{name} {part}" for name, part in pairs if part is not None)) or None
    if isinstance(value, (list, tuple)):
        if all(isinstance(part, str) for part in value):
            return ", ".join(sorted(value)) or None
        return "; ".join(_pair(part) for part in value) or None
    return None


def _pair(value: object) -> str:
    """An entry of `height_fractions`: the height in cm and the share."""
    if isinstance(value, (list, tuple)):
        return " cm: ".join(_words(part) or "nothing" for part in value)
    return _words(value) or "nothing"
