"""The picture of load: a bar for every day that was reported, marks for those that were not, and two means.

Bars stand apart from lines by shape and the lines from each other by their stroke, so that it reads in black and
white. Nothing is shaded: load has no zones.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

import altair as alt

from athletes.loads import INCOMPLETE, REST, UNREPORTED
from services.console.charts import FAINT, INK, Size, by_day, finished

BAR: Final = "#b9b6ad"
MARKS: Final = {REST: "circle", INCOMPLETE: "diamond", UNREPORTED: "M-0.6,-0.6L0.6,0.6M-0.6,0.6L0.6,-0.6"}
"""By state of a day without a bar: a ring, a rhombus, a cross. The page says what they mean."""
LEAST_APART: Final = 0.06
"""Of the height, between the two labels."""


@dataclass(frozen=True)
class Day:
    """load: None where it is not known; week and month: means of 7 and 28 days up to it, None where not told."""

    day: dt.date
    state: str
    load: float | None
    week: float | None
    month: float | None


def load_chart(days: Sequence[Day], size: Size) -> dict[str, Any]:
    """days: at least one, consecutive."""
    x, width = by_day(size), max(1.5, 0.7 * size.width / len(days))
    most = max([one for day in days for one in (day.load, day.week, day.month) if one is not None], default=1)
    scale = alt.Scale(domain=[0, 1.05 * most or 1.0], nice=False)
    axis = alt.Axis(tickCount=5, grid=True, gridColor="#e7e4dc", domain=False)
    y = alt.Y("value:Q", title="AU a day", scale=scale, axis=axis)
    layers = [_of([_row(one.day, one.load) for one in days]).mark_bar(color=BAR, size=width)]
    layers += [_marked(days, state, shape, size) for state, shape in MARKS.items()]
    charts = [layers[0].encode(x=x, y=y), *(one.encode(x=x) for one in layers[1:])]
    means = {"7 days": [one.week for one in days], "28 days": [one.month for one in days]}
    dashes = {"7 days": [1, 0], "28 days": [7, 4]}
    for name, values in means.items():
        runs = list(_runs([one.day for one in days], values))
        line = _of(runs).mark_line(color=INK, strokeWidth=2, strokeDash=dashes[name])
        charts.append(line.encode(x=x, y=y, detail="run:N"))
        alone = [row for row in runs if sum(row["run"] == one["run"] for one in runs) == 1]
        charts.append(_of(alone).mark_point(color=INK, filled=True, size=30).encode(x=x, y=y))
    labels = list(_labels(days, means, most))
    text = _of(labels).mark_text(align="left", dx=8, color=INK, fontSize=12, fontWeight="bold")
    charts.append(text.encode(x=x, y=alt.Y("at:Q", scale=scale), text="label:N"))
    return finished(alt.layer(*charts), size, right=30)


def _of(rows: list[dict[str, Any]]) -> alt.Chart:
    return alt.Chart(alt.Data(values=rows))


def _row(day: dt.date, value: float | None) -> dict[str, Any]:
    return {"day": day.isoformat(), "value": value}


def _marked(days: Sequence[Day], state: str, shape: str, size: Size) -> alt.Chart:
    rows = [{"day": one.day.isoformat()} for one in days if one.state == state]
    apart = min(55.0, (0.6 * size.width / len(days)) ** 2)
    mark = _of(rows).mark_point(shape=shape, size=max(apart, 20), color=FAINT, filled=False, strokeWidth=1.2)
    marked: alt.Chart = mark.encode(y=alt.value(size.height - 6))
    return marked


def _runs(days: Sequence[dt.date], values: Sequence[float | None]) -> Iterator[dict[str, Any]]:
    """Points of a line, numbered by unbroken run, so that no line bridges a gap."""
    run = 0
    for day, value in zip(days, values, strict=True):
        if value is None:
            run += 1
        else:
            yield {**_row(day, value), "run": run}


def _labels(
    days: Sequence[Day], means: dict[str, list[float | None]], most: float
) -> Iterator[dict[str, Any]]:
    """At the right end, where each line is at last; apart from each other."""
    last = {
        name: next((one for one in reversed(values) if one is not None), None)
        for name, values in means.items()
    }
    told = sorted((value, name) for name, value in last.items() if value is not None)
    at: list[float] = []
    for value, name in told:
        place = value if not at else max(value, at[-1] + LEAST_APART * most)
        at.append(place)
        yield {"day": days[-1].day.isoformat(), "at": place, "label": f"{name}: {value:.0f}"}
