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
KEPT: Final = 256
"""Pictures that a process keeps, by what they show; drawing one takes some tenths of a second."""


@dataclass(frozen=True)
class Size:
    """Of a picture in pixels, without what stands at its edges; ticks: about so many on the axis of days."""

    width: int
    height: int
    ticks: int


WIDE: Final = Size(720, 300, 6)
SMALL: Final = Size(300, 160, 4)
"""One of several beside each other; on a telephone one below the other."""
NARROW: Final = Size(240, 220, 4)
"""For a telephone, where a wide picture would be made so small that nobody could read it."""


@dataclass(frozen=True)
class Sight:
    """One day: the middle, and what eight of ten lie between."""

    day: dt.date
    median: float
    lower: float
    upper: float


def by_day(size: Size, days: tuple[dt.date, dt.date] | None = None) -> alt.X:
    """The axis of days, from the field `day`; days: the first and the last that are shown, else those of the data."""
    axis = alt.Axis(format="%-d %b", labelAngle=0, tickCount=size.ticks, grid=False)
    if days is None:
        return alt.X("day:T", title=None, axis=axis)
    domain = [one.isoformat() for one in days]
    return alt.X("day:T", title=None, axis=axis, scale=alt.Scale(domain=domain))


def history_chart(sights: Sequence[Sight], *, unit: str, what: str) -> dict[str, Any]:
    """A band with the days as points, the last one labelled; sights: at least one, ascending."""
    last = sights[-1]
    label = f"{last.median:.0f} {unit} ({last.lower:.0f} to {last.upper:.0f})"
    return finished(alt.layer(*_band(sights, f"{what}, {unit}", label, WIDE)))


def progress_chart(
    sights: Sequence[Sight], *, label: str, since: dt.date | None, size: Size
) -> dict[str, Any]:
    """The same, small; an upright line where the change begins to count."""
    layers = _band(sights, None, label, size)
    if since is not None:
        begun = alt.Chart(alt.Data(values=[{"day": since.isoformat()}]))
        rule = begun.mark_rule(color=INK, strokeDash=[2, 3])
        layers.append(rule.encode(x=by_day(size)))
    return finished(alt.layer(*layers), size, right=12)


def _band(sights: Sequence[Sight], title: str | None, label: str, size: Size) -> list[alt.Chart]:
    rows = [
        {"day": one.day.isoformat(), "median": one.median, "lower": one.lower, "upper": one.upper}
        for one in sights
    ]
    data, x = alt.Data(values=rows), by_day(size)
    y = alt.Y("lower:Q", title=title, scale=alt.Scale(zero=False, nice=True, padding=10))
    text = alt.Chart(alt.Data(values=[{**rows[-1], "label": label}])).mark_text(
        color=INK, align="right", baseline="bottom", dx=-8, dy=-8, fontSize=13, fontWeight="bold"
    )
    return [
        alt.Chart(data).mark_area(color=BAND).encode(x=x, y=y, y2="upper:Q"),
        alt.Chart(data).mark_rule(color=FAINT).encode(x=x, y=y, y2="upper:Q"),
        alt.Chart(data).mark_line(color=INK, strokeWidth=1.5).encode(x=x, y=alt.Y("median:Q")),
        alt.Chart(data).mark_point(color=INK, filled=True, size=45, opacity=1).encode(x=x, y="median:Q"),
        text.encode(x=x, y="median:Q", text="label:N"),
    ]


def finished(chart: alt.LayerChart | alt.FacetChart, size: Size = WIDE, right: int = 5) -> dict[str, Any]:
    """The specification of a chart of one size, in the look that all pictures have.

    right: pixels for labels beyond the right edge, since a reader's letters may be wider than those measured here.
    """
    edges = {"left": 5, "top": 5, "right": right, "bottom": 5}
    return framed(chart.properties(width=size.width, height=size.height, padding=edges))


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
