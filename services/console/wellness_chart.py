"""The picture of one wellness question: what was answered, and between what the mean of the last answers is usual."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

import altair as alt

from athletes.calc.own_baseline import LATEST_ANSWERS, NEEDED_ANSWERS
from services.console.charts import BAND, FAINT, INK, SMALL, by_day, finished

Answered = Sequence[tuple[dt.date, float]]


def wellness_chart(
    answers: Answered, scale: tuple[float, float], last: dt.date, baseline: Mapping[str, float] | None
) -> dict[str, Any]:
    """answers: by day, ascending, at least one. baseline: as the interface tells it on the day `last`, or None."""
    x = by_day(SMALL, (answers[0][0], last + dt.timedelta(days=1)))
    axis = alt.Axis(tickCount=5, grid=True, gridColor="#e7e4dc", domain=False)
    y = alt.Y("value:Q", title=None, scale=alt.Scale(domain=list(scale), nice=False, padding=6), axis=axis)
    rows = [{"day": day.isoformat(), "value": value} for day, value in answers]
    layers: list[alt.Chart] = [] if baseline is None else _usual(answers, last, baseline, x, y)
    layers.append(_of(rows).mark_point(color=INK, filled=False, size=22, strokeWidth=1.2).encode(x=x, y=y))
    if baseline is not None:
        mean = [
            {"day": last.isoformat(), "value": baseline["weighted"], "label": f"{baseline['weighted']:.1f}"}
        ]
        point = _of(mean).mark_point(shape="diamond", color=INK, filled=True, size=90, opacity=1)
        layers.append(point.encode(x=x, y=y))
        text = _of(mean).mark_text(align="left", dx=9, color=INK, fontSize=13, fontWeight="bold")
        layers.append(text.encode(x=x, y=y, text="label:N"))
    return finished(alt.layer(*layers), SMALL, right=12)


def _usual(
    answers: Answered, last: dt.date, baseline: Mapping[str, float], x: alt.X, y: alt.Y
) -> list[alt.Chart]:
    """The limits, over the answers that they are for, and the athlete's own middle since the baseline began."""
    first = answers[-LATEST_ANSWERS:][0][0]
    limits = [
        {
            "day": first.isoformat(),
            "to": last.isoformat(),
            "value": baseline["lower"],
            "upper": baseline["upper"],
        }
    ]
    band = _of(limits).mark_rect(color=BAND, stroke=FAINT, strokeWidth=0.8)
    begun = answers[-NEEDED_ANSWERS:][0][0]
    middle = [{"day": begun.isoformat(), "to": last.isoformat(), "value": baseline["centre"]}]
    line = _of(middle).mark_rule(color=FAINT, strokeDash=[3, 3])
    return [band.encode(x=x, x2="to:T", y=y, y2="upper:Q"), line.encode(x=x, x2="to:T", y=y)]


def _of(rows: list[dict[str, Any]]) -> alt.Chart:
    return alt.Chart(alt.Data(values=rows))
