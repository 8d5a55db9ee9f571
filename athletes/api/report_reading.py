"""From the body of a report to what is told in it: whatever can be read is taken, and the rest is named.

A red flag of which nothing more is told, and a report without a kind, say nothing and are refused. Everything else
is taken, since a report may be of an emergency: a sign by a word that is not known is another sign, its word kept.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any, Final
from uuid import UUID

from athletes import reported as why
from athletes.actions.reports import PAIN, RED_FLAG, WORST
from athletes.reported import Otherwise, Told
from athletes.safety_words import SIDES, SIGNS, SITES
from services.api.fields import instant_of
from services.api.parsers import Several
from services.problems import FieldProblem, Invalid

LONGEST: Final = {"during": 120, "note": 1000, "client_id": 80}
"""Characters, as the columns hold them."""
KNOWN: Final = frozenset(
    ("kind", "sign", "site", "side", "severity", "session", "happened_at", "client_id", *LONGEST)
)
LONGEST_SHOWN: Final = 200
LONGEST_REST: Final = 20_000
"""Characters that are kept of what there is no room for; a body may have a million."""
OTHER: Final = "other"
MOST_UNKNOWN: Final = 20
"""Of unknown fields that are named one by one: a body may have a hundred thousand."""

# PostgreSQL's text holds neither NUL nor half a surrogate pair; the replacement character stands for no text at all.
_UNSTORABLE: Final = re.compile("[\x00\ud800-\udfff\ufffd]")
_BETWEEN: Final = re.compile(r"[\s-]+")
_DIGITS: Final = re.compile(r"\d{1,9}", re.ASCII)
_UUID: Final = re.compile(r"[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")

Read = tuple[Any, tuple[str, ...]]
"""A value, and why it is not what was sent: keys of REASONS."""


@dataclass(frozen=True)
class Heard:
    told: Told
    client_id: str | None


def hear(body: Any) -> Heard:
    """What a parsed body tells. Raises Invalid where the kind, or anything of a red flag, cannot be read."""
    listed = isinstance(body, list)
    if listed and len(body) == 1:  # as some clients send everything
        (body,) = body
    if not isinstance(body, Mapping):
        detail = f"Send one report, as a JSON object{', and each by itself' if listed else ''}."
        raise Invalid(errors=[FieldProblem("#", "invalid", detail)])
    form = _Form(body)
    if listed:
        form.note("[]", None, why.SENT_IN_LIST)
    kind, sign = _kind_and_sign(form)
    client_id = form.take("client_id", _client_id, empty=None)
    note = form.take("note", _text_of(None))
    if sign == OTHER and form.words("sign").casefold() not in ("", OTHER):
        note = f"{form.words('sign')}. {note}".strip()
    told = Told(
        kind=kind,
        sign=sign,
        happened_at=form.take("happened_at", _time, empty=None),
        site=form.take("site", _word_of(SITES)),
        side=form.take("side", _word_of(SIDES)),
        severity=form.take("severity", _severity, empty=None),
        session_id=form.take("session", _reference, empty=None),
        during=form.fit("during", form.take("during", _text_of(None))),
        note=form.fit("note", note),
    )
    otherwise = (*form.otherwise, *_left_open(told), *_unknown(body))
    return Heard(replace(told, otherwise=otherwise), client_id)


def shown(value: Any) -> str | None:
    """A value as it may be told again: short, and storable; None for null."""
    if isinstance(value, Several):
        return _short(", ".join(str(shown(one)) for one in islice(value, MOST_UNKNOWN)))
    if value is None:
        return None
    if isinstance(value, (dict, list)):
        return "{…}" if isinstance(value, dict) else "[…]"
    return _short(str(value).lower() if isinstance(value, bool) else str(value))


def _short(text: str) -> str:
    text = _UNSTORABLE.sub("", text)
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"


class _Form:
    """The fields of a body, taken one by one, and what of them was taken otherwise."""

    def __init__(self, body: Mapping[str, Any]) -> None:
        self._body = body
        self.otherwise: list[Otherwise] = []

    def take(self, name: str, read: Callable[[Any], Read], *, empty: Any = "", first: str = "") -> Any:
        """The value of a field, `empty` if it was not sent.

        Of several the one that is `first`, else the first that is read without a remark, else the first.
        """
        if name not in self._body:
            return empty
        sent = self._body[name]
        found = [read(one) for one in sent] if isinstance(sent, Several) else [read(sent)]
        clear = [one for one in found if one[0] not in ("", None) and not one[1]]
        value, reasons = next((one for one in clear if one[0] == first), (clear or found)[0])
        self.note(name, sent, *([why.SENT_TWICE] if isinstance(sent, Several) else []), *reasons)
        return value

    def fit(self, name: str, text: str) -> str:
        """As much of a text as there is room for; the rest is kept beside it, since it may say what matters."""
        longest = LONGEST[name]
        rest = text[longest:]
        if rest:
            kept = rest if len(rest) <= LONGEST_REST else rest[: LONGEST_REST - 1] + "…"
            self.otherwise.append(Otherwise(name, kept, why.TOO_LONG))
        return text[:longest]

    def words(self, name: str) -> str:
        """What was written in a field, in whatever words; "" where that is nothing that can be read."""
        sent = self._body.get(name)
        parts = sent if isinstance(sent, list) else [sent]
        return _short(", ".join(one.strip() for one in islice(parts, MOST_UNKNOWN) if isinstance(one, str)))

    def note(self, name: str, sent: Any, *reasons: str) -> None:
        self.otherwise += [Otherwise(name, shown(sent), reason) for reason in reasons]


def _kind_and_sign(form: _Form) -> tuple[str, str]:
    """A sign of an emergency makes a red flag of what was called pain. Raises Invalid."""
    kind = form.take("kind", _word_of((PAIN, RED_FLAG)), first=RED_FLAG)
    sign = form.take("sign", _word_of(tuple(SIGNS)))
    if not kind:
        detail = f"Say what it is: {PAIN} or {RED_FLAG}."
        raise Invalid(errors=[FieldProblem("#/kind", "required", detail)])
    if kind == RED_FLAG and not sign and (form.words("sign") or form.words("note")):
        sign = OTHER
    if kind == RED_FLAG and not sign:
        detail = f"Name the sign: one of {', '.join(SIGNS)}."
        raise Invalid(errors=[FieldProblem("#/sign", "required", detail)])
    if kind == PAIN and sign:
        form.note("kind", kind, why.SIGN_NAMED)
        kind = RED_FLAG
    return kind, sign


def _left_open(told: Told) -> Iterator[Otherwise]:
    """What pain has, and nobody said so that it can be read."""
    if told.kind != PAIN:
        return
    for name, value in (("site", told.site), ("side", told.side)):
        if not value:
            yield Otherwise(name, None, why.PLACE_OPEN)
    if told.severity is None:
        yield Otherwise("severity", None, why.SEVERITY_OPEN)


def _unknown(body: Mapping[str, Any]) -> Iterator[Otherwise]:
    names = [name for name in body if name not in KNOWN]
    for name in names[:MOST_UNKNOWN]:
        yield Otherwise(_short(name), shown(body[name]), why.UNKNOWN_FIELD)
    if len(names) > MOST_UNKNOWN:
        yield Otherwise("…", f"{len(names) - MOST_UNKNOWN} more", why.UNKNOWN_FIELD)


def _text_of(longest: int | None) -> Callable[[Any], Read]:
    """A text as it can be stored, cut where it is longer than that."""

    def read(value: Any) -> Read:
        if value is None:
            return "", (why.EMPTY,)
        if not isinstance(value, str):
            is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
            return str(value)[:longest] if is_number else "", (why.NO_TEXT,)
        text = _UNSTORABLE.sub("", value).strip()
        reasons = (why.UNSTORABLE,) if _UNSTORABLE.search(value) else ()
        kept = text[:longest]
        return kept, reasons if kept == text else (*reasons, why.TOO_LONG)

    return read


def _word_of(words: Collection[str]) -> Callable[[Any], Read]:
    def read(value: Any) -> Read:
        if isinstance(value, list) and len(value) == 1:
            (value,) = value
        word = _BETWEEN.sub("_", value.strip().casefold()) if isinstance(value, str) else value
        if word is None or word == "":
            return "", (why.EMPTY,)
        return (word, ()) if isinstance(word, str) and word in words else ("", (why.NO_WORD,))

    return read


def _client_id(value: Any) -> Read:
    """Null is nothing told; an empty one would be the same for every report."""
    if value is None:
        return None, ()
    text, reasons = _text_of(LONGEST["client_id"])(value)
    return text or None, reasons if text or reasons else (why.EMPTY,)


def _reference(value: Any) -> Read:
    if value is None:
        return None, ()
    if isinstance(value, str) and _UUID.fullmatch(value.strip()):
        return UUID(value.strip()), ()
    return None, (why.EMPTY if value == "" else why.NO_REFERENCE,)


def _time(value: Any) -> Read:
    """An instant, else the text of what was sent: `Told.instant` says what is wrong with it."""
    if value is None:
        return None, ()
    text = str(shown(value))
    return (instant_of(text.strip()) if isinstance(value, str) else None) or text, ()


def _severity(value: Any) -> Read:
    """0 to 10, rather too much than too little; None if it is no number from 0 up."""
    if value is None:
        return None, ()
    if isinstance(value, str) and _DIGITS.fullmatch(value.strip()):
        value = int(value)
    if isinstance(value, bool) or not isinstance(value, (int, float)) or value < 0:
        return None, (why.NO_SEVERITY,)
    if value > WORST:
        return WORST, (why.TOO_HIGH,)
    return math.ceil(value), () if value == math.ceil(value) else (why.ROUNDED,)
