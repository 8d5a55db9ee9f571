"""The aim's window, the forecast's interval and what came, strip by strip, as one picture.

By shape, never by colour alone: the window is a grey field, the forecast a line with bars across, what is planned an
open diamond, what came a dot with its value, and how much a result shows a dashed line.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import altair as alt

from services.console.charts import BAND, FAINT, INK, framed
from services.console.set_by_set import IN_ONE_GO, Panel, Strip, foretold_said, shows_said

WIDE, NARROW = 560, 152
"""Width of the panels, in pixels; the names of the strips stand beside it."""
ROW: Final = 40
ABOVE, BELOW = -8, 9
"""Where in a strip the forecast stands, and what came."""
MOST_STRIPS: Final = 25
"""Drawn of one panel; the table has them all."""
CLOCK: Final = "floor(datum.value / 60) + ':' + (datum.value % 60 < 10 ? '0' : '') + datum.value % 60"
STEPS: Final = (10, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200)
"""Between two marks of an axis of time, in seconds."""


def set_chart(panels: Sequence[Panel], *, narrow: bool) -> dict[str, Any]:
    """panels: at least one, each with a strip."""
    width = NARROW if narrow else WIDE
    chart = alt.vconcat(*(_panel(one, width) for one in panels), spacing=18)
    # Words are measured here in one font and shown in whatever the reader has: with room to spare on both sides.
    return framed(chart.properties(padding={"left": 22, "right": 34, "top": 5, "bottom": 5}))


def _panel(panel: Panel, width: int) -> Any:
    strips = panel.strips[:MOST_STRIPS]
    end = _end(strips)
    rows = [_row(panel, strip, end) for strip in strips]
    axis = _axis(panel, end, most=3 if width == NARROW else 8)
    scale = alt.Scale(domain=[0, end], nice=False)
    y = alt.Y(
        "label:N",
        title=None,
        sort=[row["label"] for row in rows],
        axis=alt.Axis(labelExpr="split(datum.label, '|')", domain=False, ticks=False, labelLimit=160),
    )

    def x(name: str) -> alt.X:
        return alt.X(f"{name}:Q", scale=scale, axis=axis)

    base = alt.Chart(alt.Data(values=rows)).encode(y=y)
    layers = [
        base.mark_bar(color=BAND, stroke=FAINT, strokeWidth=0.5, height=ROW - 6)
        .encode(x=x("window_low"), x2="window_high:Q")
        .transform_filter("datum.window_high != null"),
        base.mark_rule(color=INK, strokeWidth=1.5, yOffset=ABOVE)
        .encode(x=x("low"), x2="high:Q")
        .transform_filter("datum.high != null"),
        *(
            base.mark_tick(color=INK, thickness=2, height=size, yOffset=ABOVE)
            .encode(x=x(name))
            .transform_filter(f"datum.{name} != null")
            for name, size in (("low", 8), ("middle", 15), ("high", 8))
        ),
        base.mark_point(shape="diamond", color=INK, fill="#fffefb", size=55, opacity=1, yOffset=ABOVE)
        .encode(x=x("planned"))
        .transform_filter("datum.planned != null"),
        base.mark_rule(color=INK, strokeDash=[3, 3], yOffset=BELOW)
        .encode(x=x("shows_low"), x2="shows_high:Q")
        .transform_filter("datum.shows_high != null"),
        base.mark_point(color=INK, filled=True, size=60, opacity=1, yOffset=BELOW)
        .encode(x=x("came"))
        .transform_filter("datum.came != null"),
        _said(base, x, "before", ABOVE, "normal", "left"),
        _said(base, x, "after", BELOW, "bold", "left"),
        _said(base, x, "open", BELOW, "bold", "right"),
    ]
    title = alt.Title(panel.title, anchor="start", fontSize=13, color=INK)
    return alt.layer(*layers).properties(width=width, height=ROW * len(rows), title=title)


def _said(base: Any, x: Any, name: str, offset: int, weight: Any, align: Any) -> Any:
    """A word behind what it is about, or before what runs to the end of the axis."""
    text = base.mark_text(
        align=align,
        baseline="middle",
        dx=7 if align == "left" else -7,
        yOffset=offset,
        fontSize=11,
        fontWeight=weight,
    )
    encoded = text.encode(x=x(f"{name}_at"), text=f"{name}_said:N")
    return encoded.transform_filter(f"datum.{name}_said != ''")


def _axis(panel: Panel, end: float, *, most: int) -> alt.Axis:
    """With marks at whole minutes where it tells minutes; most: marks."""
    if not panel.timed:
        return alt.Axis(title=panel.unit, grid=False, tickCount=most)
    step = next((one for one in STEPS if end / one <= most), STEPS[-1])
    marks = [step * place for place in range(int(end // step) + 1)]
    return alt.Axis(title=panel.unit, grid=False, values=marks, labelExpr=CLOCK)


def _end(strips: Sequence[Strip]) -> float:
    """Of the axis: with room behind the last value for what is said of it."""
    return 1.4 * max([1.0, *(value for strip in strips for value in _values(strip))])


def _values(strip: Strip) -> list[float]:
    spans = (strip.window or ()) + (strip.foretold or ()) + (strip.shows or ())
    return [value for value in (*spans, strip.planned, strip.came) if value is not None]


def _row(panel: Panel, strip: Strip, end: float) -> dict[str, Any]:
    """A strip as data; an open side of a window, or of what is shown, runs to the end of the axis."""
    window = strip.window or (None, None)
    low, middle, high = strip.foretold or (None, None, None)
    shows = strip.shows or (None, None)
    drawn = strip.shows is not None and shows[0] != shows[1]
    before, before_at = _said_before(panel, strip)
    is_open = strip.came is None and drawn and shows[1] is None
    after = panel.said(strip.came) or ("" if is_open else shows_said(panel, strip))
    return {
        "label": f"{strip.label}|aim {strip.aim}" if strip.aim else strip.label,
        "window_low": None if strip.window is None else window[0] or 0.0,
        "window_high": None if strip.window is None else end if window[1] is None else window[1],
        "low": low,
        "middle": middle,
        "high": high,
        "planned": strip.planned,
        "came": strip.came,
        "shows_low": (shows[0] or 0.0) if drawn else None,
        "shows_high": (end if shows[1] is None else shows[1]) if drawn else None,
        "before_said": before,
        "before_at": before_at,
        "after_said": after,
        "after_at": strip.came if strip.came is not None else shows[1],
        "open_said": shows_said(panel, strip) if is_open else "",
        "open_at": shows[0],
    }


def _said_before(panel: Panel, strip: Strip) -> tuple[str, float | None]:
    """What stands behind the forecast, and where: of a single set what is planned, else the interval."""
    if strip.planned is not None:
        high = strip.foretold[2] if strip.foretold else strip.planned
        return f"{panel.said(strip.planned)} planned", max(high, strip.planned)
    if strip.foretold is None:
        return "", None
    return f"foretold {foretold_said(panel, strip)}" if strip.label == IN_ONE_GO else foretold_said(
        panel, strip
    ), strip.foretold[2]
