"""Fields of input: tables of what is read, and what is refused with which code."""

import datetime as dt
import uuid

import pytest
from rest_framework import serializers

from services.api import fields
from services.api.handler import field_problems
from services.api.serializers import InputSerializer

U = "7f0c1f0e-6f0e-4c55-9a86-2f6c4f7f2f11"
UTC = dt.UTC

READ = [
    (fields.CharField(max_length=5), " abc ", "abc"),
    (fields.IntegerField(), 5, 5),
    (fields.IntegerField(), -(2**31) + 1, -(2**31) + 1),
    (fields.FloatField(min_value=0, max_value=500), 82.5, 82.5),
    (fields.FloatField(min_value=0, max_value=500), 80, 80.0),
    (fields.BooleanField(), False, False),
    (fields.UUIDField(), U, uuid.UUID(U)),
    (fields.ChoiceField(choices=["a", "b"]), "b", "b"),
    (fields.DateField(), "2024-02-29", dt.date(2024, 2, 29)),
    (fields.BirthDateField(), "1959-12-31", dt.date(1959, 12, 31)),
    (fields.DateTimeField(), "2024-05-01T10:00:00+02:00", dt.datetime(2024, 5, 1, 8, tzinfo=UTC)),
    (fields.DateTimeField(), "2024-05-01t10:00:00.123456z", dt.datetime(2024, 5, 1, 10, 0, 0, 123456, UTC)),
    (fields.ListField(child=fields.IntegerField(), max_length=2), [1, 2], [1, 2]),
]


def test_another_word_than_those_of_the_list_is_told_the_list() -> None:
    """Nobody has to look it up to mend a slip."""
    with pytest.raises(serializers.ValidationError) as caught:
        fields.ChoiceField(choices=["planned", "failure"]).run_validation("failed")
    assert str(caught.value.detail[0]) == '"failed" is none of: planned, failure.'


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        (fields.IntegerField(min_value=1, max_value=50), 51, "Must be 50 at most."),
        (fields.IntegerField(min_value=1, max_value=50), 0, "Must be 1 at least."),
        (fields.FloatField(min_value=0.5, max_value=2_000_000), 2.1e6, "Must be 2000000 at most."),
        (fields.FloatField(min_value=0.5, max_value=500), 0.4, "Must be 0.5 at least."),
    ],
)
def test_a_bound_is_told_as_people_write_it(field, value, told):
    with pytest.raises(serializers.ValidationError) as caught:
        field.run_validation(value)
    assert str(caught.value.detail[0]) == told


REFUSED = [
    (fields.CharField(max_length=5), 5, "wrong_type"),
    (fields.CharField(max_length=5), "abcdef", "max_length"),
    (fields.CharField(max_length=5), " ", "blank"),
    (fields.CharField(max_length=5), None, "null"),
    (fields.IntegerField(), "5", "wrong_type"),
    (fields.IntegerField(), 5.0, "wrong_type"),
    (fields.IntegerField(), True, "wrong_type"),
    (fields.IntegerField(), 2**31, "max_value"),
    (fields.FloatField(min_value=0, max_value=500), "82.5", "wrong_type"),
    (fields.FloatField(min_value=0, max_value=500), True, "wrong_type"),
    (fields.FloatField(min_value=0, max_value=500), 500.1, "max_value"),
    (fields.FloatField(min_value=0, max_value=500), -0.1, "min_value"),
    (fields.BooleanField(), "true", "wrong_type"),
    (fields.BooleanField(), 1, "wrong_type"),
    (fields.UUIDField(), U.replace("-", ""), "invalid"),
    (fields.UUIDField(), 5, "wrong_type"),
    (fields.UUIDField(), "x" * 36, "invalid"),
    (fields.ChoiceField(choices=["a", "b"]), "c", "invalid_choice"),
    (fields.ChoiceField(choices=["a", "b"]), ["a"], "wrong_type"),
    (fields.DateField(), "2023-02-29", "invalid"),
    (fields.DateField(), "20230228", "invalid"),
    (fields.DateField(), "1999-12-31", "out_of_range"),
    (fields.DateField(), "2101-01-01", "out_of_range"),
    (fields.BirthDateField(), "1899-12-31", "out_of_range"),
    (fields.DateTimeField(), "2024-05-01T10:00:00", "naive"),
    (fields.DateTimeField(), "2024-05-01 10:00:00Z", "invalid"),
    (fields.DateTimeField(), "2024-13-01T10:00:00Z", "invalid"),
    (fields.DateTimeField(), "2024-05-01T10:00:00+99:00", "invalid"),
    (fields.DateTimeField(), 1714557600, "wrong_type"),
    (fields.DateTimeField(), "1999-12-31T23:59:59Z", "out_of_range"),
    (fields.DateTimeField(), "2000-01-01T00:00:00+05:00", "out_of_range"),
    (fields.DateTimeField(), "2101-01-01T00:00:00Z", "out_of_range"),
    (fields.DateTimeField(), "9999-12-31T23:59:59-23:00", "out_of_range"),
    (fields.ListField(child=fields.IntegerField(), max_length=2), [1, 2, 3], "max_length"),
    (fields.ListField(child=fields.IntegerField(), max_length=2), "12", "wrong_type"),
    (fields.ListField(child=fields.IntegerField(), max_length=2), {"0": 1}, "wrong_type"),
]


@pytest.mark.parametrize(("field", "given", "expected"), READ, ids=repr)
def test_reads(field, given, expected):
    """The JSON value becomes the Python value, of the same type."""
    value = field.run_validation(given)
    assert (value, type(value)) == (expected, type(expected))


@pytest.mark.parametrize(("field", "given", "code"), REFUSED, ids=repr)
def test_refuses(field, given, code):
    """The value is refused with the stable code."""
    with pytest.raises(serializers.ValidationError) as caught:
        field.run_validation(given)
    codes = caught.value.get_codes()
    assert code in codes, codes


class Set(InputSerializer):
    repetitions = fields.IntegerField(min_value=1)
    load_kg = fields.FloatField(min_value=0, max_value=600, required=False)


class Session(InputSerializer):
    at = fields.DateTimeField()
    sets = fields.ListField(child=Set(), max_length=3)
    notes = fields.ListField(child=fields.CharField(max_length=4), max_length=3, required=False)


def faults(data):
    reader = Session(data=data)
    try:
        reader.is_valid(raise_exception=True)
    except serializers.ValidationError as error:
        return {(one.pointer, one.code) for one in field_problems(error.get_full_details())}
    return set()


GOOD = {"at": "2024-05-01T10:00:00Z", "sets": [{"repetitions": 5}]}


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (GOOD, set()),
        ({**GOOD, "organisation": U}, {("#/organisation", "unknown_field")}),
        ({**GOOD, "a/b~c d": 1}, {("#/a~1b~0c%20d", "unknown_field")}),
        (
            {**GOOD, "sets": [{"repetitions": 5}, {"repetitions": 0, "rpe": 9}]},
            {("#/sets/1/repetitions", "min_value"), ("#/sets/1/rpe", "unknown_field")},
        ),
        ({**GOOD, "sets": [5]}, {("#/sets/0", "invalid")}),
        (
            {**GOOD, "notes": ["ok", "too long", 3]},
            {("#/notes/1", "max_length"), ("#/notes/2", "wrong_type")},
        ),
        ({"x": 1}, {("#/at", "required"), ("#/sets", "required"), ("#/x", "unknown_field")}),
        ([], {("#", "invalid")}),
        (None, {("#", "null")}),
        ("text", {("#", "invalid")}),
    ],
    ids=lambda value: repr(sorted(value) if isinstance(value, set) else value),
)
def test_pointers(data, expected):
    """Every fault is found in one go, each with the JSON pointer (RFC 6901) of its place."""
    assert faults(data) == expected


def test_a_coercing_field_cannot_enter_an_input():
    """Closed by construction: REST framework's own field is refused when the class is made."""
    with pytest.raises(TypeError, match=r"services\.api\.fields"):
        type("Loose", (InputSerializer,), {"name": serializers.CharField()})
    with pytest.raises(TypeError, match=r"services\.api\.fields"):
        type(
            "Loose",
            (InputSerializer,),
            {"names": fields.ListField(child=serializers.CharField(), max_length=1)},
        )
