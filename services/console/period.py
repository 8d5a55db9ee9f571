"""Which days a page shows: a form of two days, as strictly read as the interface's own parameters."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Final

from django import forms

from services.api.fields import FIRST_YEAR

USUAL_DAYS: Final = 56
"""Eight weeks."""
MOST_DAYS: Final = 371
"""Fifty-three weeks: more in one picture is read by nobody."""


def day_input() -> forms.DateInput:
    """The format is that of the browser's own control, whatever the language."""
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def not_too_early(day: dt.date | None) -> dt.date | None:
    """The day, where weeks before it are days of the calendar too. Raises ValidationError."""
    if day is not None and day.year < FIRST_YEAR:
        raise forms.ValidationError(f"Nothing is kept of days before {FIRST_YEAR}.")
    return day


@dataclass(frozen=True)
class Period:
    """Days from first to last, both included."""

    first: dt.date
    last: dt.date

    @property
    def days(self) -> list[dt.date]:
        count = (self.last - self.first).days + 1
        return [self.first + dt.timedelta(days=number) for number in range(count)]


class PeriodForm(forms.Form):
    """`until`: the day up to which is shown where nothing is asked; `today`: nothing is known beyond it."""

    from_date = forms.DateField(label="From", required=False, widget=day_input())
    to_date = forms.DateField(label="To", required=False, widget=day_input())

    usual_days: ClassVar[int] = USUAL_DAYS
    most_days: ClassVar[int] = MOST_DAYS

    def __init__(self, data: Mapping[str, Any], *, until: dt.date, today: dt.date) -> None:
        self.usual = Period(until - dt.timedelta(days=self.usual_days - 1), until)
        self.today = today
        usual = {"from_date": self.usual.first.isoformat(), "to_date": until.isoformat()}
        super().__init__({**usual, **{name: value for name, value in data.items() if value}}, label_suffix="")

    def clean_from_date(self) -> dt.date | None:
        return not_too_early(self.cleaned_data["from_date"])

    def clean_to_date(self) -> dt.date | None:
        return not_too_early(self.cleaned_data["to_date"])

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        first, last = told.get("from_date"), told.get("to_date")
        if last and last > self.today:
            self.add_error("to_date", f"Nothing is known of a day to come; today is {self.today}.")
        if first and last and first > last:
            self.add_error("from_date", "This day lies after the last one.")
        if first and last and (last - first).days >= self.most_days:
            self.add_error("from_date", f"At most {self.most_days} days are shown at once.")
        return told

    @property
    def period(self) -> Period:
        """What is asked for; the usual days where it cannot be meant."""
        if not self.is_valid():
            return self.usual
        return Period(self.cleaned_data["from_date"], self.cleaned_data["to_date"])
