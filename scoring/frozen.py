"""The forecast that a prescription froze, read back from its row."""

from collections.abc import Mapping
from typing import Any

from scoring.calc.forecast import BlockForecast, PlannedSet, Spread, WorkForecast


def forecast_from(document: Mapping[str, Any]) -> BlockForecast:
    """The inverse of `BlockForecast.to_json`."""
    return BlockForecast(
        **{
            **document,
            "score_quantiles": tuple(document["score_quantiles"]),
            "breaks": Spread(**document["breaks"]),
            "work": tuple(_work(part) for part in document["work"]),
            "plan": tuple(PlannedSet(**one) for one in document["plan"]),
        }
    )


def _work(part: Mapping[str, Any]) -> WorkForecast:
    return WorkForecast(
        work=part["work"],
        fresh=Spread(**part["fresh"]),
        smallest_later=_spread(part["smallest_later"]),
        largest_later=_spread(part["largest_later"]),
    )


def _spread(values: Mapping[str, float] | None) -> Spread | None:
    return None if values is None else Spread(**values)
