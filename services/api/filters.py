"""Filters that refuse what they do not understand, where the library's own would filter nothing."""

from __future__ import annotations

import datetime as dt
from typing import Any, Final

from django.core.validators import MaxValueValidator, MinValueValidator
from django_filters import TypedChoiceFilter

from services.api.fields import FIRST_YEAR, LAST_YEAR

CALENDAR: Final = (
    MinValueValidator(dt.date(FIRST_YEAR, 1, 1), message=f"The year must be {FIRST_YEAR} or later."),
    MaxValueValidator(dt.date(LAST_YEAR, 12, 31), message=f"The year must be {LAST_YEAR} or earlier."),
)
"""The years that a date may name: nothing lies outside, and the days beside them would leave the calendar."""


class BooleanFilter(TypedChoiceFilter):
    """`true` or `false`; anything else is 400 instead of the whole list."""

    def __init__(self, **kwargs: Any) -> None:
        choices = [("true", "true"), ("false", "false")]
        super().__init__(choices=choices, coerce=lambda text: text == "true", empty_value=None, **kwargs)
