"""What orjson reads of a JSON column is what the library would read that Django reads it with."""

from __future__ import annotations

import json
from typing import Any
from uuid import uuid4

import pytest
from django.db import models
from django.db.models.fields.json import KT
from hypothesis import given
from hypothesis import strategies as st

from athletes.models import Athlete
from services.tenancy.models import DocumentField
from tests.support.cast import Cast

LARGEST = 2**53 - 1
"""`services/api/parsers.py` lets nothing larger in."""
scalars = (
    st.none()
    | st.booleans()
    | st.integers(-LARGEST, LARGEST)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"))
)
documents = st.recursive(
    scalars, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=4), inner)
)


@given(documents)
def test_a_document_is_read_as_the_library_reads_it(document: Any) -> None:
    """Types with it: a whole number stays one, true is no 1."""
    text = json.dumps(document)
    read = DocumentField().from_db_value(text, None, None)
    assert repr(read) == repr(json.loads(text))


def test_to_migrations_it_is_an_ordinary_one() -> None:
    """So that no table is written anew for how a column is read."""
    assert DocumentField(default=dict).deconstruct()[1:] == models.JSONField(default=dict).deconstruct()[1:]


@pytest.mark.django_db
def test_the_database_gives_back_what_was_stored_and_parts_of_it(cast: Cast) -> None:
    """A row, a part of the document as JSON and as text; nothing is None."""
    kit = {"items": {"barbell": {"loads_kg": [20, 22.5], "said": "grüße \\u2028"}}, "none": None, "yes": True}
    with cast.inside():
        row = Athlete(id=uuid4(), org=cast.org, location=cast.harbour, name="Ada", kit=kit)
        row.save()
        bare = Athlete.objects.create(org=cast.org, location=cast.harbour, name="Bo")
        assert Athlete.objects.get(id=row.id).kit == kit
        assert Athlete.objects.get(id=bare.id).kit is None
        parts = Athlete.objects.filter(id=row.id)
        assert parts.values_list("kit__items__barbell", flat=True)[0] == kit["items"]["barbell"]  # type: ignore[index]
        assert parts.values_list("kit__yes", "kit__none", "kit__nowhere")[0] == (True, None, None)
        said = parts.annotate(said=KT("kit__items__barbell__said")).values_list("said", flat=True)
        assert said[0] == "grüße \\u2028"
