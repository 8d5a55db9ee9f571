"""Coverage by counting, one result after the other; the check of the statement in SQL and of `scoring.calc.trust`."""

from __future__ import annotations

from collections.abc import Sequence
from math import log

import pandas as pd
from statsmodels.duration.survfunc import SurvfuncRight

from scoring.calc.trust import BOUNDS, AtBound, Tally


def plain_share(positions: Sequence[float], low: float, high: float) -> float:
    """Of results that are all shown: how many lie inside."""
    return sum(low < one <= high for one in positions) / len(positions)


def share_above(positions: Sequence[float], shown: Sequence[bool], bound: float) -> float:
    """The product limit as statsmodels has it, at a position."""
    curve = SurvfuncRight(list(positions), [int(one) for one in shown])
    above = [prob for time, prob in zip(curve.surv_times, curve.surv_prob, strict=True) if time <= bound]
    return float(above[-1]) if above else 1.0


def tally_of(positions: Sequence[float], shown: Sequence[bool], differences: Sequence[float | None]) -> Tally:
    """By pandas, from the rows in memory."""
    rows = pd.DataFrame({"at": positions, "shown": shown}).sort_values(
        ["at", "shown"], ascending=[True, False]
    )
    rows = rows.assign(risk=range(len(rows), 0, -1))
    bounds = []
    for bound in BOUNDS:
        upto = rows[(rows["at"] <= bound) & rows["shown"]]
        more = upto[upto["risk"] > 1]["risk"].astype(float)
        bounds.append(
            AtBound(
                log_left=float((1.0 - 1.0 / more).map(log).sum()),
                spent=float((1.0 / (more * (more - 1.0))).sum()),
                last=bool((upto["risk"] == 1).any()),
                past=int((rows["at"] > bound).sum()),
            )
        )
    middles = rows["at"].where(rows["shown"], (rows["at"] + 1.0) / 2.0)
    known = pd.Series([one for one in differences if one is not None], dtype=float)
    return Tally(
        number=len(rows),
        at_least=int((~rows["shown"]).sum()),
        bounds=tuple(bounds),
        position=float(middles.mean()),
        position_sd=None if len(rows) < 2 else float(middles.std()),
        differences=len(known),
        difference=None if known.empty else float(known.mean()),
        difference_sd=None if len(known) < 2 else float(known.std()),
    )
