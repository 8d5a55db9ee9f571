"""Filters that refuse what they do not understand, where the library's own would filter nothing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db.models import QuerySet
from django_filters import TypedChoiceFilter, UUIDFilter

from services.api.fields import FIRST_YEAR, LAST_YEAR
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor

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


class SeenFilter(UUIDFilter):
    """Rows of one thing that must be there for the actor: what a summary says of a mistyped id would be that nothing
    is known. Of a list an empty page says as much as is to say.

    name: of the parameter; visible: where the actor's own are looked up (one query).
    """

    def __init__(self, *, name: str, visible: Callable[[Actor], QuerySet[Any]], **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.name, self.visible = name, visible

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        """Raises Invalid where the actor sees nothing with this id."""
        actor = self.parent.request.parser_context["view"].actor
        if value is not None and not self.visible(actor).filter(pk=value).exists():
            detail = f"You see no {self.name} with this id; name one that you can list, or leave it out."
            raise Invalid(errors=[FieldProblem("", "unknown_reference", detail, parameter=self.name)])
        rows: QuerySet[Any] = super().filter(qs, value)
        return rows


_FORMS: Final[tuple[tuple[type[forms.Field], str], ...]] = (
    (forms.UUIDField, "Must be a UUID with hyphens."),
    (forms.DateTimeField, "Must be a time in the form 2030-01-31T18:30:00Z."),
    (forms.DateField, "Must be a day in the form 2030-01-31."),
    (forms.DecimalField, "Must be a number."),  # which the library makes a kind of whole number
    (forms.IntegerField, "Must be a whole number."),
)


def said(field: forms.Field | None, error: ValidationError) -> str:
    """What a query parameter must be, in the words that bodies have; what the service itself says stays."""
    if error.code == "invalid_choice" and isinstance(field, forms.ChoiceField):
        words = ", ".join(str(word) for word, _ in field.widget.choices if word != "")
        return f"Must be one of: {words}."
    if error.code == "invalid":
        for kind, text in _FORMS:
            if isinstance(field, kind):
                return text
    return " ".join(error.messages)
