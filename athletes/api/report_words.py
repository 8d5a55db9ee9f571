"""The words of a report: which are known, what is named as a sign, and how what was sent is told again."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from typing import Any, Final

from athletes.safety_words import SIGNS
from services.api.parsers import Several

OTHER: Final = "other"
LONGEST_SHOWN: Final = 200
MOST_UNKNOWN: Final = 20
"""Of unknown fields that are named one by one: a body may have a hundred thousand."""

# PostgreSQL's text holds neither NUL nor half a surrogate pair; the replacement character stands for no text at all.
UNSTORABLE: Final = re.compile("[\x00\ud800-\udfff\ufffd]")
_BETWEEN: Final = re.compile(r"[\s-]+")


def word_of(value: Any) -> Any:
    """A text as the words that are known here are written; anything else as it is."""
    return _BETWEEN.sub("_", value.strip().casefold()) if isinstance(value, str) else value


def named_in(value: Any) -> list[str]:
    """Every word that says something, in their order; of an object its JSON. Empty values say nothing."""
    return [text for text in (UNSTORABLE.sub("", one).strip() for one in _texts(value)) if text]


def sign_of(named: Sequence[str]) -> tuple[str, str]:
    """(the first sign that is known, else another one; "" where nothing was named), and the words that it leaves."""
    known = [number for number, text in enumerate(named) if word_of(text) in SIGNS]
    if not known:
        return (OTHER if named else ""), ", ".join(named)
    # "Other" is a sign too, but says less than any that is named beside it.
    chosen = next((number for number in known if word_of(named[number]) != OTHER), known[0])
    rest = (text for number, text in enumerate(named) if number != chosen)
    return word_of(named[chosen]), ", ".join(rest)


def shown(value: Any) -> str | None:
    """A value as it may be told again: short, and storable; None for null."""
    if isinstance(value, Several):
        return short(", ".join(str(shown(one)) for one in islice(value, MOST_UNKNOWN)))
    if value is None:
        return None
    if isinstance(value, (dict, list)):
        return "{…}" if isinstance(value, dict) else "[…]"
    return short(str(value).lower() if isinstance(value, bool) else str(value))


def short(text: str) -> str:
    text = UNSTORABLE.sub("", text)
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        if value:
            yield json.dumps(value, ensure_ascii=False)
    elif isinstance(value, list):
        for one in value:
            yield from _texts(one)
    elif value is not None and value is not False:
        yield json.dumps(value)
