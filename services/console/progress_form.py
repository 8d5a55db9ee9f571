"""From when a change counts, and what is worth a word: as the interface asks it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django import forms

from athletes.api.progress_views import LEAST_PERCENT, MOST_PERCENT, USUAL_DAYS
from athletes.progress import Asked
from services.console.period import day_input


class SinceForm(forms.Form):
    since = forms.DateField(label="Changes since", widget=day_input())
    worthwhile_percent = forms.FloatField(
        label="Smallest worthwhile change, in %",
        required=False,
        min_value=LEAST_PERCENT,
        max_value=MOST_PERCENT,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "size": 6}),
        help_text="Empty: a fifth of how far people differ",
    )

    def __init__(self, data: Mapping[str, Any], *, today: dt.date) -> None:
        self.today = today
        self.usual = today - dt.timedelta(days=USUAL_DAYS)
        kept = {name: value for name, value in data.items() if value}
        super().__init__({"since": self.usual.isoformat(), **kept}, label_suffix="")

    def clean_since(self) -> dt.date:
        since: dt.date = self.cleaned_data["since"]
        if since >= self.today:
            raise forms.ValidationError("Must be a day before today.")
        return since

    @property
    def asked(self) -> Asked:
        """What is asked for; the usual where it cannot be meant."""
        if not self.is_valid():
            return Asked(self.usual, self.today)
        told = self.cleaned_data
        return Asked(told["since"], self.today, told["worthwhile_percent"])
