"""Reading an untrusted JSON document: every problem is collected, none stops the reading.

A reader method that meets a problem notes it and returns a harmless value of the right type, so that the
caller can go on and list what else is wrong. Whoever reads must call :meth:`Reader.finish` before using the
values: it raises :class:`DocumentError` when anything was noted.
"""

import math
import re
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from typing import Final

MISSING: Final = object()  # the value of a field that is not there: noted if required, read as harmless

MAX_PROBLEMS = 100  # a hostile body must not produce an answer larger than itself

KEY_PATTERN = re.compile(r"[a-z][a-z0-9_]{0,63}\Z")
# PostgreSQL's jsonb refuses U+0000, and UTF-8 has no lone surrogates: both would fail only when stored.
UNSTORABLE = re.compile("[\x00\ud800-\udfff]")


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong: where (JSON pointer, RFC 6901), a stable code, what to do about it."""

    pointer: str
    code: str
    detail: str


class DocumentError(ValueError):
    """The document cannot be accepted; `problems` lists everything found."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        first = self.problems[0]
        super().__init__(f"{len(self.problems)} problem(s), first at {first.pointer or '/'}: {first.detail}")


def child(pointer: str, *tokens: str | int) -> str:
    """The pointer of a member of `pointer`, or of a member of that (RFC 6901 escapes)."""
    escaped = (str(token).replace("~", "~0").replace("/", "~1") for token in tokens)
    return "/".join((pointer, *escaped))


class Reader:
    """Typed access to parts of a JSON document, collecting problems."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def note(self, pointer: str, code: str, detail: str) -> None:
        """Note a problem; beyond MAX_PROBLEMS only the fact that there are more."""
        if len(self.problems) < MAX_PROBLEMS:
            self.problems.append(Problem(pointer, code, detail))
        elif len(self.problems) == MAX_PROBLEMS:
            self.problems.append(Problem("", "too_many_problems", "There are more; correct these first."))

    def finish(self) -> None:
        """Raise DocumentError when anything was noted."""
        if self.problems:
            raise DocumentError(self.problems)

    def mapping(
        self, value: object, pointer: str, *, required: Sequence[str], optional: Sequence[str] = ()
    ) -> Mapping[str, object]:
        """An object with exactly these fields; absent ones have the value MISSING."""
        absent: dict[str, object] = dict.fromkeys([*required, *optional], MISSING)
        if value is MISSING:
            return absent
        if not isinstance(value, Mapping):
            self.note(pointer, "not_an_object", "Send a JSON object here.")
            return absent
        known = {*required, *optional}
        for name in value:
            if not isinstance(name, str) or name not in known:
                allowed = ", ".join(sorted(known))
                at = child(pointer, str(name)[:64])
                self.note(at, "unknown_field", f"Remove this field. Known: {allowed}.")
        for name in required:
            if name not in value:
                self.note(child(pointer, name), "missing_field", "Add this field.")
        return absent | {name: value[name] for name in known if name in value}

    def items(self, value: object, pointer: str, *, least: int, most: int) -> Sequence[object]:
        """A list of `least` to `most` items; a longer one is not read further."""
        if value is MISSING:
            return ()
        if not isinstance(value, Sequence) or isinstance(value, (str, bytes, bytearray)):
            self.note(pointer, "not_a_list", "Send a JSON list here.")
            return ()
        if not least <= len(value) <= most:
            wanted = f"exactly {least}" if least == most else f"{least} to {most}"
            self.note(pointer, "wrong_length", f"Send {wanted} items here; there are {len(value)}.")
        return value[:most]

    def text(self, value: object, pointer: str, *, least: int = 0, most: int) -> str:
        """A string of `least` to `most` characters that the database can store."""
        if value is MISSING:
            return ""
        if not isinstance(value, str):
            self.note(pointer, "not_a_string", "Send a string here.")
            return ""
        if not least <= len(value) <= most:
            self.note(pointer, "wrong_length", f"Send {least} to {most} characters; there are {len(value)}.")
        elif UNSTORABLE.search(value):
            self.note(pointer, "invalid_characters", "Remove the null character or the unpaired surrogate.")
        elif least and not value.strip():
            self.note(pointer, "blank", "Write something other than spaces.")
        return value

    def key(self, value: object, pointer: str) -> str:
        """A machine-readable key."""
        if value is MISSING:
            return ""
        if not isinstance(value, str) or not KEY_PATTERN.match(value):
            self.note(pointer, "not_a_key", "Use 1 to 64 small letters, digits or _, a letter first.")
            return ""
        return value

    def choice(self, value: object, pointer: str, allowed: Set[str]) -> str:
        """One of the allowed words."""
        if value is MISSING:
            return ""
        if not isinstance(value, str) or value not in allowed:
            self.note(pointer, "unknown_choice", f"Use one of: {', '.join(sorted(allowed))}.")
            return ""
        return value

    def integer(self, value: object, pointer: str, *, least: int, most: int) -> int:
        """A whole number; true/false and fractions are refused, 60.0 is the number 60."""
        if value is MISSING:
            return least
        if isinstance(value, float) and value.is_integer():
            value = int(value)
        if isinstance(value, bool) or not isinstance(value, int):
            self.note(pointer, "not_an_integer", f"Send a whole number from {least} to {most}.")
            return least
        if not least <= value <= most:
            self.note(pointer, "out_of_range", f"Send a whole number from {least} to {most}.")
            return least
        return value

    def number(self, value: object, pointer: str, *, least: float, most: float, above: bool = False) -> float:
        """A finite number in [least, most], or in (least, most] with `above`."""
        if value is MISSING:
            return least
        wanted = f"{'above ' if above else 'from '}{least:g} to {most:g}"
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            self.note(pointer, "not_a_number", f"Send a number {wanted}.")
            return least
        # Compared before conversion: a 400-digit integer does not fit a float.
        if (isinstance(value, float) and not math.isfinite(value)) or not least <= value <= most:
            self.note(pointer, "out_of_range", f"Send a finite number {wanted}.")
            return least
        if above and value == least:
            self.note(pointer, "out_of_range", f"Send a finite number {wanted}.")
        return float(value)

    def optional_number(self, value: object, pointer: str, *, least: float, most: float) -> float | None:
        """A finite number in (least, most]; null and absent are None."""
        if value is None or value is MISSING:
            return None
        return self.number(value, pointer, least=least, most=most, above=True)
