"""JSON in and out, strictly: what RFC 8259 or the database cannot hold is refused at the door."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import IO, Any, Final, NoReturn

from rest_framework.exceptions import ParseError
from rest_framework.negotiation import DefaultContentNegotiation
from rest_framework.parsers import BaseParser
from rest_framework.renderers import BaseRenderer, JSONRenderer

from services.problems import TooLarge

MAX_BODY_BYTES = 1024 * 1024
MAX_DEPTH = 20
# Beyond this an integer is not exact in the double precision that most clients read with (RFC 8259, 6).
MAX_INTEGER = 2**53 - 1
CUT: Final = "dosewright.body_cut"
"""In the environment of a body in chunks that was longer than MAX_BODY_BYTES (`services.api.chunked`): what there is
of it is not all, which to a parser that reads more than that its length does not tell.
"""


class WholeBodyParser(BaseParser):
    """A body of at most `max_bytes`, read at once and whole. Raises TooLarge (413)."""

    max_bytes = MAX_BODY_BYTES
    remedy = "split the request"

    def parse(
        self,
        stream: IO[bytes],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        context = parser_context or {}
        if self.max_bytes > MAX_BODY_BYTES and context["request"].META.get(CUT):
            raise TooLarge("Send a body of this size with a Content-Length, not in chunks.")
        return self.told(self.read(stream), context)

    def read(self, stream: IO[bytes]) -> bytes:
        raw = stream.read(self.max_bytes + 1)
        if len(raw) > self.max_bytes:
            raise TooLarge(f"The body may have {self.max_bytes} bytes at most; {self.remedy}.")
        return raw

    def told(self, raw: bytes, context: Mapping[str, Any]) -> Any:
        """What the body says, for the serializer. Raises ParseError (400)."""
        raise NotImplementedError


class StrictJSONParser(WholeBodyParser):
    """UTF-8 JSON, nested at most MAX_DEPTH, no doubled key, no NaN or infinity."""

    media_type = "application/json"

    def told(self, raw: bytes, context: Mapping[str, Any]) -> Any:
        return parse_json(raw)


class SmallJSONParser(StrictJSONParser):
    """For routes outside an organisation: what comes there, also unasked, is a form and no document."""

    max_bytes = 16 * 1024


class Several(list[Any]):
    """The values of a key that an object has more than once, in their order."""


class ForgivingJSONParser(StrictJSONParser):
    """For what must not be lost to its form: whatever can be read as one JSON document, by `parse_forgiving`."""

    def told(self, raw: bytes, context: Mapping[str, Any]) -> Any:
        return parse_forgiving(raw)


def parse_forgiving(raw: bytes) -> Any:
    """Parse one JSON document as well as it can be read; its view has to look at every value itself.

    A byte order mark, UTF-16 and UTF-32 are read. Bytes that are no text become U+FFFD, a doubled key `Several`,
    numbers that JSON or a double cannot hold (NaN, 1e999) their text, and so does what is nested too deep. Texts may
    hold what the database cannot. Raises ParseError where it is no JSON.
    """
    try:
        value = json.loads(
            raw.decode(json.detect_encoding(raw), errors="replace"),
            strict=False,
            parse_constant=str,
            parse_float=lambda literal: number if math.isfinite(number := float(literal)) else literal,
            parse_int=lambda literal: int(literal) if len(literal) <= 20 else literal,
            object_pairs_hook=_gathered,
        )
    except RecursionError:
        raise ParseError(f"The body is nested deeper than {MAX_DEPTH} levels.") from None
    except json.JSONDecodeError as error:
        raise ParseError(_no_json(error)) from None
    return _levelled(value, MAX_DEPTH)


def _gathered(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key not in found:
            found[key] = value
        elif isinstance(found[key], Several):
            found[key].append(value)
        else:
            found[key] = Several([found[key], value])
    return found


def _levelled(value: Any, depth_left: int) -> Any:
    """The same with a text in place of what is nested too deep for whatever looks at it next."""
    if not isinstance(value, (dict, list)):
        return value
    if depth_left == 0:
        return "…"
    if isinstance(value, dict):
        return {key: _levelled(inner, depth_left - 1) for key, inner in value.items()}
    return type(value)(_levelled(inner, depth_left - 1) for inner in value)


def parse_json(raw: bytes) -> Any:
    """Parse one JSON document. Raises ParseError with a sentence that says what is wrong."""
    try:
        value = json.loads(
            raw.decode("utf-8"),
            parse_constant=_refuse_constant,
            parse_float=_finite,
            parse_int=_exact,
            object_pairs_hook=_distinct,
        )
    except UnicodeDecodeError:
        raise ParseError("The body is not UTF-8.") from None
    except RecursionError:
        raise ParseError(f"The body is nested deeper than {MAX_DEPTH} levels.") from None
    except json.JSONDecodeError as error:
        raise ParseError(_no_json(error)) from None
    _check(value, MAX_DEPTH)
    return value


def _no_json(error: json.JSONDecodeError) -> str:
    return f"The body is not JSON: {error.msg} (line {error.lineno}, column {error.colno})."


def _refuse_constant(literal: str) -> NoReturn:
    raise ParseError(
        f"{literal} is not a JSON number; leave the field out or send null where that is allowed."
    )


def _finite(literal: str) -> float:
    number = float(literal)
    if not math.isfinite(number):
        raise ParseError("A number is too large.")
    return number


def _exact(literal: str) -> int:
    if len(literal) > 20 or abs(int(literal)) > MAX_INTEGER:
        raise ParseError(f"An integer is larger than {MAX_INTEGER}.")
    return int(literal)


def _distinct(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    result = dict(pairs)
    if len(result) != len(pairs):
        raise ParseError("An object has the same key twice.")
    return result


def _check(value: Any, depth_left: int) -> None:
    if isinstance(value, str):
        _check_text(value)
    elif isinstance(value, (dict, list)):
        if depth_left == 0:
            raise ParseError(f"The body is nested deeper than {MAX_DEPTH} levels.")
        for key in value if isinstance(value, dict) else ():
            _check_text(key)
        for inner in value.values() if isinstance(value, dict) else value:
            _check(inner, depth_left - 1)


def _check_text(text: str) -> None:
    # PostgreSQL's text holds neither NUL nor half a surrogate pair.
    if "\x00" in text or any("\ud800" <= character <= "\udfff" for character in text):
        raise ParseError("A text holds a character that cannot be stored (NUL or half a surrogate pair).")


class StrictJSONRenderer(JSONRenderer):
    """A NaN or infinity on the way out is a fault of ours and fails loudly instead of making invalid JSON."""

    strict = True


class IgnoreAccept(DefaultContentNegotiation):
    """Answer in the view's own media type whatever `Accept` says (RFC 9110, 12.4.1, allows it)."""

    def select_renderer(
        self, request: Any, renderers: Any, format_suffix: str | None = None
    ) -> tuple[BaseRenderer, str]:
        renderer = renderers[0]
        return renderer, renderer.media_type


class OneParser(IgnoreAccept):
    """Read the body by the view's one parser whatever `Content-Type` says: a hurried client may say nothing."""

    def select_parser(self, request: Any, parsers: Any) -> BaseParser:
        found: BaseParser = parsers[0]
        return found
