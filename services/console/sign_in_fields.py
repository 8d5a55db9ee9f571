"""The fields of every form that asks who somebody is: a password as it was typed, and a code of the second factor."""

from __future__ import annotations

from django import forms

LONGEST_PASSWORD = 200
LONGEST_CODE = 40


def password_field(label: str, *, is_new: bool = False) -> forms.CharField:
    """Spaces at its ends belong to it."""
    kept_as = "new-password" if is_new else "current-password"
    widget = forms.PasswordInput(attrs={"autocomplete": kept_as})
    return forms.CharField(label=label, max_length=LONGEST_PASSWORD, strip=False, widget=widget)


def code_field(label: str, *, required: bool = True, help_text: str = "", **attrs: object) -> forms.CharField:
    """attrs: further ones of the input."""
    widget = forms.TextInput(attrs={"autocomplete": "one-time-code", **attrs})
    return forms.CharField(
        label=label, max_length=LONGEST_CODE, required=required, help_text=help_text, widget=widget
    )
