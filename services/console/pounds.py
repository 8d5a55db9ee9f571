"""Weights for who reads pounds: both stand there, since the kit is marked in kilograms.

Every amount in kilograms that is written out on a page gets its pounds beside it, whatever wrote it, so that no page
can forget. What stands in a field is what somebody typed, and is left alone.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from programming.calc.units import KG_PER_LB
from services.console.charts import Sight
from services.console.my_fields import Weights

_NUMBER: Final = r"([+−]?)(\d+(?:\.\d+)?)"
_KG: Final = r"[ \u00a0]kg\b"
AMOUNT: Final = re.compile(
    rf"{_NUMBER} to {_NUMBER}{_KG}|{_NUMBER}{_KG}(?: \({_NUMBER} to {_NUMBER}\))?(?! \([+−\d.]+ lb)"
)
"""A range; or an amount, with or without what it lies between. Not where the pounds stand there already."""
_PARTS: Final = re.compile(r"(<textarea\b.*?</textarea>|<script\b.*?</script>|<[^>]*>)", re.DOTALL)
_SPOKEN: Final = re.compile(r'(\b(?:alt|aria-label)=")([^"]*)(")')


def pounds(sign: str, kg: str) -> str:
    """With as many digits as the kilograms have."""
    digits = len(kg.partition(".")[2])
    return f"{sign}{float(kg) / KG_PER_LB:.{digits}f}"


def beside(text: str) -> str:
    """The text with pounds after all kilograms."""
    return AMOUNT.sub(_told, text)


def _told(found: re.Match[str]) -> str:
    first_sign, first, second_sign, second, sign, kg, low_sign, low, high_sign, high = found.groups()
    if first is not None:
        return f"{found[0]} ({pounds(first_sign, first)} to {pounds(second_sign, second)} lb)"
    if low is None:
        return f"{found[0]} ({sign}{Weights('lb').shown(float(kg))} lb)"
    spread = f"{pounds(low_sign, low)} to {pounds(high_sign, high)}"
    return f"{found[0]}, {pounds(sign, kg)} lb ({spread})"


def page_beside(html: str) -> str:
    """A whole page: its text, and what is read aloud in place of a picture."""
    parts = _PARTS.split(html)
    # Every second part is a tag, or a field with all that is typed into it.
    return "".join(
        beside(part) if number % 2 == 0 else _SPOKEN.sub(lambda one: one[1] + beside(one[2]) + one[3], part)
        for number, part in enumerate(parts)
    )


def sights_in(unit: str, sights: Sequence[Sight]) -> Sequence[Sight]:
    """Days in kilograms as a picture shows them: its axis has one unit, that of the reader."""
    if unit == "kg":
        return sights
    return [
        Sight(one.day, one.median / KG_PER_LB, one.lower / KG_PER_LB, one.upper / KG_PER_LB) for one in sights
    ]
