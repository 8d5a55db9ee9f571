"""Filters that refuse what they do not understand, where the library's own would filter nothing."""

from __future__ import annotations

from typing import Any

from django_filters import TypedChoiceFilter


class BooleanFilter(TypedChoiceFilter):
    """`true` or `false`; anything else is 400 instead of the whole list."""

    def __init__(self, **kwargs: Any) -> None:
        choices = [("true", "true"), ("false", "false")]
        super().__init__(choices=choices, coerce=lambda text: text == "true", empty_value=None, **kwargs)
