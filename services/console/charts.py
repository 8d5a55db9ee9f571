"""Charts as pictures: Vega-Lite specifications by Altair, drawn to SVG in this process, without a script in the page.

One ink and grey, so that they print; direct labels; an interval is always drawn. The table behind a chart stands
beside it on the page.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

import altair as alt
import vl_convert

INK, FAINT, BAND = "#1b1b1b", "#5a5a5a", "#dcdad3"
FONT: Final = "Helvetica, Arial, Liberation Sans, sans-serif"
WIDTH, HEIGHT = 720, 300
KEPT: Final = 256
"""Pictures that a process keeps, by what they show; drawing one takes some tenths of a second."""


@dataclass(frozen=True)
class Sight:
    """One day: the middle, and what eight of ten lie between."""

    day: dt.date
    median: float
    lower: float
    upper: float


def history_chart(sights: Sequence[Sight], *, unit: str, what: str) -> dict[str, Any]:
    """A band with the days as points, the last one labelled; sights: at least one, ascending."""
    rows = [
        {"day": one.day.isoformat(), "median": one.median, "lower": one.lower, "upper": one.upper}
        for one in sights
    ]
    last = sights[-1]
    label = [{**rows[-1], "label": f"{last.median:.0f} {unit} ({last.lower:.0f} to {last.upper:.0f})"}]
    x = alt.X("day:T", title=None, axis=alt.Axis(format="%-d %b", labelAngle=0, tickCount=6, grid=False))
    y = alt.Y("lower:Q", title=f"{what}, {unit}", scale=alt.Scale(zero=False, nice=True, padding=10))
    data = alt.Data(values=rows)
    band = alt.Chart(data).mark_area(color=BAND).encode(x=x, y=y, y2="upper:Q")
    spans = alt.Chart(data).mark_rule(color=FAINT).encode(x=x, y=y, y2="upper:Q")
    line = alt.Chart(data).mark_line(color=INK, strokeWidth=1.5).encode(x=x, y=alt.Y("median:Q"))
    points = alt.Chart(data).mark_point(color=INK, filled=True, size=45, opacity=1).encode(x=x, y="median:Q")
    text = alt.Chart(alt.Data(values=label)).mark_text(
        color=INK, align="right", baseline="bottom", dx=-8, dy=-8, fontSize=13, fontWeight="bold"
    )
    chart = alt.layer(band, spans, line, points, text.encode(x=x, y="median:Q", text="label:N"))
    return framed(chart.properties(width=WIDTH, height=HEIGHT))


def framed(chart: Any) -> dict[str, Any]:
    """The specification of a chart in the look of all of them."""
    found: dict[str, Any] = (
        chart.properties(background="#fffefb")
        .configure(font=FONT)
        .configure_view(stroke=None)
        .configure_axis(
            labelColor=INK, titleColor=INK, labelFontSize=12, titleFontSize=12, titleFontWeight="normal"
        )
        .to_dict()
    )
    return found


def drawn(specification: dict[str, Any]) -> str:
    """The picture as SVG; the same specification is drawn once."""
    return _drawn(json.dumps(specification, sort_keys=True))


@lru_cache(maxsize=KEPT)
def _drawn(specification: str) -> str:
    # No fetching: data are in the specification, and nothing else is asked for.
    svg: str = vl_convert.vegalite_to_svg(specification, allowed_base_urls=[])
    return svg
