"""JSON at the door."""

import io
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rest_framework.exceptions import ParseError

from services.api.parsers import MAX_DEPTH, MAX_INTEGER, StrictJSONParser, StrictJSONRenderer, parse_json
from services.problems import TooLarge

json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-MAX_INTEGER, MAX_INTEGER)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00")),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00")), inner, max_size=3
        )
    ),
    max_leaves=10,
)


@given(json_values)
def test_every_storable_document_is_read_as_the_standard_library_reads_it(value):
    """The strict parser refuses nothing that RFC 8259 and the database allow."""
    raw = json.dumps(value).encode()
    assert parse_json(raw) == json.loads(raw)


@pytest.mark.parametrize(
    "raw",
    [
        b'{"a": NaN}',
        b'{"a": Infinity}',
        b"[-Infinity]",
        b'{"a": 1e999}',
        b'{"a": 9007199254740993}',
        b"1" * 5000,
        b'{"a": 1, "a": 2}',
        b'{"a": "\\u0000"}',
        b'{"\\u0000": 1}',
        b'["\\ud800"]',
        b'{"a": "\xff"}',
        '{"a": 1}'.encode("utf-16"),
        b"{'a': 1}",
        b'{"a": 1} trailing',
        b"[" * (MAX_DEPTH + 1) + b"]" * (MAX_DEPTH + 1),
        b"[" * 100_000,
    ],
    ids=lambda raw: repr(raw[:24]),
)
def test_what_is_not_json_or_cannot_be_stored_is_refused(raw):
    """Each is an error of the client with a sentence, never an exception of another kind."""
    with pytest.raises(ParseError) as caught:
        parse_json(raw)
    assert str(caught.value.detail)


def test_the_largest_depth_is_still_read():
    """The bound is where it is stated."""
    assert parse_json(b"[" * MAX_DEPTH + b"]" * MAX_DEPTH)


def test_a_body_over_the_limit_is_refused_before_it_is_parsed():
    """One byte more than the limit raises TooLarge (413), the limit itself does not."""
    body = b'"' + b"x" * 98 + b'"'

    class Small(StrictJSONParser):
        max_bytes = 100

    assert Small().parse(io.BytesIO(body)) == "x" * 98
    with pytest.raises(TooLarge):
        Small().parse(io.BytesIO(body + b" "))


@pytest.mark.parametrize("number", [float("nan"), float("inf"), float("-inf")])
def test_no_nan_leaves(number):
    """An undefined number on the way out is a loud fault of ours."""
    with pytest.raises(ValueError, match="not JSON compliant"):
        StrictJSONRenderer().render({"a": number})
