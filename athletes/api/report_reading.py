"""From the body of a report to what is told in it: whatever can be read is taken, and the rest is named.

A red flag of which nothing more is told, and a report without kind and sign, say nothing and are refused. All else
is taken, since a report may be of an emergency: whatever is named as a sign makes a red flag of it, by a word that is
not known another sign, its word kept.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final
from uuid import UUID

from athletes import reported as why
from athletes.actions.reports import PAIN, RED_FLAG, WORST
from athletes.api.report_words import (
    MOST_UNKNOWN,
    OTHER,
    UNSTORABLE,
    named_in,
    short,
    shown,
    sign_of,
    word_of,
)
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
LONGEST_REST: Final = 20_000
"""Characters that are kept of what there is no room for; a body may have a million."""

_DIGITS: Final = re.compile(r"\d{1,9}", re.ASCII)
_UUID: Final = re.compile(r"[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")

Read = tuple[Any, tuple[str, ...]]
"""A value, and why it is not what was sent: keys of REASONS."""


@dataclass(frozen=True)
class Heard:
    told: Told
    client_id: str | None


def hear(body: Any) -> Heard:
    """What a parsed body tells. Raises Invalid where neither kind nor sign, or nothing of a red flag, can be read."""
    listed = isinstance(body, list)
    if listed and len(body) == 1:  # as some clients send everything
        (body,) = body
    if not isinstance(body, Mapping):
        detail = f"Send one report, as a JSON object{', and each by itself' if listed else ''}."
        raise Invalid(errors=[FieldProblem("#", "invalid", detail)])
    form = _Form(body)
    if listed:
        form.note("[]", None, why.SENT_IN_LIST)
    kind, sign, words = _kind_and_sign(form)
    client_id = form.take("client_id", _client_id, empty=None)
    note = form.take("note", _text_of(None))
    if words:
        note = f"{words}. {note}".strip()
    told = Told(
        kind=kind,
        sign=sign,
        happened_at=form.take("happened_at", _time, empty=None),
        site=form.take("site", _word_of(SITES, why.NO_PLACE)),
        side=form.take("side", _word_of(SIDES)),
        severity=form.take("severity", _severity, empty=None),
        session_id=form.take("session", _reference, empty=None),
        during=form.fit("during", form.take("during", _text_of(None))),
        note=form.fit("note", note),
    )
    otherwise = (*form.otherwise, *_left_open(told), *_unknown(body))
    return Heard(replace(told, otherwise=otherwise), client_id)


class _Form:
    """The fields of a body, taken one by one, and what of them was taken otherwise."""

    def __init__(self, body: Mapping[str, Any]) -> None:
        self._body = body
        self.otherwise: list[Otherwise] = []

    def take(self, name: str, read: Callable[[Any], Read], *, empty: Any = "", first: str = "") -> Any:
        """The value of a field, `empty` if it was not sent.

        Of several the one that is `first`, else the first that is read without a remark, else the first. Where one
        is looked for `first`, a list is several too.
        """
        if name not in self._body:
            return empty
        sent = self._body[name]
        if first and isinstance(sent, list) and len(sent) > 1:
            sent = Several(sent)
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

    def take_sign(self) -> tuple[str, str]:
        """The sign, "" where none is named, and the words that stand for nothing known."""
        sent = self._body.get("sign")
        named = named_in(sent)
        sign, words = sign_of(named)
        if "sign" not in self._body:
            return sign, words
        reasons = [why.SENT_TWICE] if len(named) > 1 or isinstance(sent, Several) else []
        if sign == OTHER and words:
            reasons.append(why.NO_SIGN)
        self.note("sign", sent, *([] if sign else [why.EMPTY]), *reasons)
        return sign, words

    def says(self, name: str) -> bool:
        """Whether anything at all was sent, readable or not; no text and null are nothing."""
        sent = self._body.get(name)
        return bool(sent.strip()) if isinstance(sent, str) else sent is not None

    def note(self, name: str, sent: Any, *reasons: str) -> None:
        self.otherwise += [Otherwise(name, shown(sent), reason) for reason in reasons]


def _kind_and_sign(form: _Form) -> tuple[str, str, str]:
    """The kind, the sign, and its words that are not known. Raises Invalid.

    Whatever is named as a sign of an emergency makes a red flag of what was called pain, or nothing: whoever takes
    the wrong form, or another word, has the emergency all the same.
    """
    kind = form.take("kind", _word_of((PAIN, RED_FLAG)), first=RED_FLAG)
    sign, words = form.take_sign()
    if sign and kind != RED_FLAG:
        form.note("kind", kind or None, why.SIGN_NAMED)
        kind = RED_FLAG
    if not kind:
        detail = f"Say what it is: {PAIN} or {RED_FLAG}, or name the sign."
        raise Invalid(errors=[FieldProblem("#/kind", "required", detail)])
    if kind == RED_FLAG and not sign and (form.says("sign") or form.says("note")):
        sign = OTHER
    if kind == RED_FLAG and not sign:
        detail = f"Name the sign: one of {', '.join(SIGNS)}."
        raise Invalid(errors=[FieldProblem("#/sign", "required", detail)])
    return kind, sign, words


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
        yield Otherwise(short(name), shown(body[name]), why.UNKNOWN_FIELD)
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
        text = UNSTORABLE.sub("", value).strip()
        reasons = (why.UNSTORABLE,) if UNSTORABLE.search(value) else ()
        kept = text[:longest]
        return kept, reasons if kept == text else (*reasons, why.TOO_LONG)

    return read


def _word_of(words: Collection[str], unknown: str = why.NO_WORD) -> Callable[[Any], Read]:
    def read(value: Any) -> Read:
        if isinstance(value, list) and len(value) == 1:
            (value,) = value
        word = word_of(value)
        if word is None or word == "":
            return "", (why.EMPTY,)
        return (word, ()) if isinstance(word, str) and word in words else ("", (unknown,))

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
