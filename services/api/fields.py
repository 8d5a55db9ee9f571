"""Fields of input: the JSON type is taken literally ("5" is no number), and every size has a bound.

REST framework's own fields coerce; an InputSerializer accepts only the fields of this module.
"""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Sequence
from typing import Any

from django.utils.dateparse import parse_datetime
from rest_framework import serializers

FIRST_YEAR, LAST_YEAR = 2000, 2100
FIRST_BIRTH_YEAR = 1900
_RFC3339 = re.compile(r"\d{4}-\d\d-\d\d[Tt]\d\d:\d\d:\d\d(\.\d{1,9})?([Zz]|[+-]\d\d:\d\d)?", re.ASCII)
_DATE = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_INT4 = 2**31 - 1  # the integer column of PostgreSQL


class StrictField(serializers.Field):
    """Mark of a field that may stand in an InputSerializer."""


class _TextOnly(StrictField):
    def to_internal_value(self, data: Any) -> Any:
        if not isinstance(data, str):
            raise serializers.ValidationError("Must be a text.", code="wrong_type")
        return super().to_internal_value(data)


class CharField(_TextOnly, serializers.CharField):
    def __init__(self, *, max_length: int, **kwargs: Any) -> None:
        super().__init__(max_length=max_length, **kwargs)


class EmailField(_TextOnly, serializers.EmailField):
    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=254, **kwargs)  # RFC 5321, 4.5.3.1.3 less the brackets


class URLField(_TextOnly, serializers.URLField):
    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=kwargs.pop("max_length", 2000), **kwargs)


class SlugField(_TextOnly, serializers.SlugField):
    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=kwargs.pop("max_length", 50), **kwargs)


class ChoiceField(_TextOnly, serializers.ChoiceField):
    """One of a closed list of words, which is named where another one is sent."""

    def __init__(self, choices: Sequence[Any], **kwargs: Any) -> None:
        super().__init__(choices, **kwargs)
        words = ", ".join(str(one) for one in self.choices)
        self.error_messages["invalid_choice"] = f'"{{input}}" is none of: {words}.'


class UUIDField(_TextOnly, serializers.UUIDField):
    """The 36-character form of RFC 9562 only."""

    def to_internal_value(self, data: Any) -> uuid.UUID:
        if isinstance(data, str) and len(data) != 36:
            raise serializers.ValidationError("Must be a UUID with hyphens.", code="invalid")
        value: uuid.UUID = super().to_internal_value(data)
        return value


class IntegerField(StrictField, serializers.IntegerField):
    """A whole number; without other bounds, one that fits the database."""

    default_error_messages = {
        "max_value": "Must be {max_value} at most.",
        "min_value": "Must be {min_value} at least.",
    }

    def __init__(self, *, min_value: int = -_INT4, max_value: int = _INT4, **kwargs: Any) -> None:
        super().__init__(min_value=min_value, max_value=max_value, **kwargs)

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, bool) or not isinstance(data, int):
            raise serializers.ValidationError("Must be a whole number.", code="wrong_type")
        return data


class FloatField(StrictField, serializers.FloatField):
    """A finite number within stated bounds."""

    default_error_messages = {
        "max_value": "Must be {max_value:.10g} at most.",
        "min_value": "Must be {min_value:.10g} at least.",
    }

    def __init__(self, *, min_value: float, max_value: float, **kwargs: Any) -> None:
        super().__init__(min_value=min_value, max_value=max_value, **kwargs)

    def to_internal_value(self, data: Any) -> float:
        if isinstance(data, bool) or not isinstance(data, (int, float)):
            raise serializers.ValidationError("Must be a number.", code="wrong_type")
        return float(data)


class BooleanField(StrictField, serializers.BooleanField):
    def to_internal_value(self, data: Any) -> bool:
        if not isinstance(data, bool):
            raise serializers.ValidationError("Must be true or false.", code="wrong_type")
        return data


def instant_of(text: str) -> dt.datetime | None:
    """The instant that an RFC 3339 text with an offset names, of any year; None if it is no such text."""
    if not _RFC3339.fullmatch(text):
        return None
    try:
        value = parse_datetime(text.upper())
    except ValueError:
        return None
    return None if value is None or value.tzinfo is None else value


class DateTimeField(_TextOnly, serializers.DateTimeField):
    """RFC 3339 with an offset, years 2000 to 2100; becomes an aware datetime in UTC."""

    def to_internal_value(self, data: Any) -> dt.datetime:
        if not isinstance(data, str):
            raise serializers.ValidationError("Must be a text.", code="wrong_type")
        match = _RFC3339.fullmatch(data)
        if match and match[2] is None:
            raise serializers.ValidationError("Add the offset, for example Z or +02:00.", code="naive")
        value = instant_of(data)
        if value is None:
            raise serializers.ValidationError(
                "Must be a time in the form 2030-01-31T18:30:00Z.", code="invalid"
            )
        _check_year(value.year)
        utc = value.astimezone(dt.UTC)
        _check_year(utc.year)
        return utc


class DateField(_TextOnly, serializers.DateField):
    """A calendar day, years 2000 to 2100."""

    first_year = FIRST_YEAR

    def to_internal_value(self, data: Any) -> dt.date:
        if isinstance(data, str) and not _DATE.fullmatch(data):
            raise serializers.ValidationError("Must be a day in the form 2030-01-31.", code="invalid")
        value: dt.date = super().to_internal_value(data)
        _check_year(value.year, self.first_year)
        return value


class BirthDateField(DateField):
    """The day of a birth, years 1900 to 2100."""

    first_year = FIRST_BIRTH_YEAR


def _check_year(year: int, first_year: int = FIRST_YEAR) -> None:
    if not first_year <= year <= LAST_YEAR:
        raise serializers.ValidationError(
            f"The year must be from {first_year} to {LAST_YEAR}.", code="out_of_range"
        )


class ListField(StrictField, serializers.ListField):
    """A list of bounded length; `child` is a field of this module or an InputSerializer."""

    def __init__(self, *, child: serializers.Field, max_length: int, **kwargs: Any) -> None:
        super().__init__(child=child, max_length=max_length, **kwargs)

    def to_internal_value(self, data: Any) -> list[Any]:
        if not isinstance(data, list):
            raise serializers.ValidationError("Must be a list.", code="wrong_type")
        if len(data) > (self.max_length or 0):  # before each item is looked at
            raise serializers.ValidationError(
                f"May have {self.max_length} entries at most.", code="max_length"
            )
        value: list[Any] = super().to_internal_value(data)
        return value


class JSONField(StrictField, serializers.JSONField):
    """A free JSON object, for what an app validates by its own grammar."""
