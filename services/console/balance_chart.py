"""Training balance as small multiples: one panel for each quality or pattern, planned and done beside what is wanted.

What is planned is an open bar, what is done a full one, what is wanted a diamond: told by shape and word, and each
with its share at its end.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

import altair as alt

from services.console.balance_words import share_said
from services.console.charts import BAND, FAINT, INK, framed

KINDS: Final = ("planned", "done", "wanted")
PANEL: Final = 196
"""Width of a panel, in pixels."""
ROW: Final = 21
END: Final = 1.75
"""Of the axis: whatever is said behind a bar of the whole has its room there."""


def balance_chart(lines: Sequence[Mapping[str, Any]], *, unit: str, columns: int) -> dict[str, Any]:
    """lines: at least one, as the interface answers them, each with `said`, its name in words; unit: what the shares
    are of; columns: panels side by side.
    """
    rows = [row for line in lines for row in _rows(line)]
    x = alt.X(
        "share:Q",
        title=f"share of all {unit}",
        scale=alt.Scale(domain=[0, END], nice=False),
        axis=alt.Axis(values=[0, 0.5, 1], format="%", grid=True, gridColor=BAND, domain=False, ticks=False),
    )
    y = alt.Y("kind:N", title=None, sort=list(KINDS), axis=alt.Axis(domain=False, ticks=False))
    base = alt.Chart()
    bars = (
        base.mark_bar(height=11, stroke=INK, strokeWidth=1.2)
        .encode(
            x=x,
            y=y,
            fill=alt.Fill(
                "kind:N", scale=alt.Scale(domain=["planned", "done"], range=["#ffffff", INK]), legend=None
            ),
        )
        .transform_filter("datum.kind != 'wanted' && datum.share != null")
    )
    wanted = (
        base.mark_point(shape="diamond", filled=True, size=70, color=INK, opacity=1)
        .encode(x=x, y=y)
        .transform_filter("datum.kind == 'wanted'")
    )
    words = base.mark_text(align="left", baseline="middle", dx=7, color=INK, fontSize=11).encode(
        x=alt.X("at:Q"), y=y, text="said:N"
    )
    edge = base.mark_rule(color=FAINT, strokeWidth=1).encode(x=alt.datum(0))
    chart = (
        alt.layer(edge, bars, wanted, words, data=alt.Data(values=rows))
        .properties(width=PANEL, height=ROW * len(KINDS))
        .facet(
            facet=alt.Facet(
                "name:N",
                title=None,
                sort=[line["said"] for line in lines],
                header=alt.Header(
                    labelAnchor="start", labelFontWeight="bold", labelFontSize=12, labelColor=INK
                ),
            ),
            columns=columns,
            spacing={"row": 14, "column": 10},
        )
    )
    return framed(chart)


def _rows(line: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The rows of a panel; a share that is not known has its word at the edge, and no bar."""
    shares = {kind: (line[f"{kind}_share"], line[f"{kind}_share_reason"]) for kind in ("planned", "done")}
    if line["target_share"] is not None:
        shares["wanted"] = (line["target_share"], None)
    return [
        {
            "name": line["said"],
            "kind": kind,
            "share": share,
            "at": share or 0.0,
            "said": share_said(share, reason),
        }
        for kind, (share, reason) in shares.items()
    ]
