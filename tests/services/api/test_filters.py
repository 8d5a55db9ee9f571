"""What a query parameter must be, said in the words that bodies have."""

import django_filters
import pytest

from programming.models import Movement
from services.api.filters import BooleanFilter, said


class Asked(django_filters.FilterSet):
    id = django_filters.UUIDFilter()
    day = django_filters.DateFilter()
    at = django_filters.IsoDateTimeFilter()
    kind = django_filters.ChoiceFilter(choices=[("a", "A"), ("b", "B")])
    open = BooleanFilter()
    number = django_filters.NumberFilter()


@pytest.mark.parametrize(
    ("name", "sent", "told"),
    [
        ("id", "row", "Must be a UUID with hyphens."),
        ("day", "yesterday", "Must be a day in the form 2030-01-31."),
        ("at", "noon", "Must be a time in the form 2030-01-31T18:30:00Z."),
        ("kind", "c", "Must be one of: a, b."),
        ("open", "yes", "Must be one of: true, false."),
        ("number", "many", "Must be a number."),
    ],
)
def test_each_kind_says_what_it_must_be(name: str, sent: str, told: str) -> None:
    form = Asked(data={name: sent}, queryset=Movement.objects.none()).form
    (error,) = form.errors.as_data()[name]
    assert said(form.fields[name], error) == told
