"""What the query of a load summary asks for."""

from __future__ import annotations

import datetime as dt
from typing import Final, cast

from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request

from athletes.calc.load import DDOFS, Ddof
from athletes.calc.load_means import RATIO_KINDS, RatioKind
from services.api.query import day_in, refused

_ON: Final = "The last day of the week that is told, no later than today; left out: the newest full day."
_DDOF: Final = "Of the SD of the seven daily loads; 0 where left out."
_RATIO: Final = (
    "Also tell recent load over usual load, a description and no estimate of any risk; off where left out."
)

ON = OpenApiParameter("on", dt.date, description=_ON)
DDOF = OpenApiParameter("ddof", int, enum=DDOFS, description=_DDOF)
RATIO = OpenApiParameter("ratio", str, enum=RATIO_KINDS, description=_RATIO)


def asked_day(request: Request, today: dt.date) -> dt.date | None:
    """The day in `on`. Raises Invalid for what is no day, and for a day to come."""
    day = day_in(request.query_params, "on")
    if day is not None and day > today:
        raise refused("on", "in_the_future", f"Nothing is known of a day to come; today is {today}.")
    return day


def asked_ddof(request: Request) -> Ddof:
    """0 unless 1 is asked for. Raises Invalid."""
    told = request.query_params.get("ddof", "0")
    if told not in {str(one) for one in DDOFS}:
        raise refused("ddof", "invalid_choice", "Must be one of: 0, 1.")
    return cast(Ddof, int(told))


def asked_ratio(request: Request) -> RatioKind | None:
    """None unless one is asked for. Raises Invalid."""
    told = request.query_params.get("ratio")
    if told is not None and told not in RATIO_KINDS:
        raise refused("ratio", "invalid_choice", f"Must be one of: {', '.join(RATIO_KINDS)}.")
    return told
