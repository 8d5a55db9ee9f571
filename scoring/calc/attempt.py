"""What an athlete did, as the calculation sees it: a set log, or totals only.

Both come from stored, already validated JSON; nothing here judges what they say. Amounts are in the unit of
their work item: repetitions, seconds held, metres or kilocalories.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from programming.calc.revision import REPETITIONS

EndedBy = Literal["planned", "failure", "pain", "no_rep", "clock", "other"]


@dataclass(frozen=True)
class SetEntry:
    """One set. rest_before_s: seconds since the set before it ended, of whatever item; None is unknown.

    interval: the number, from 1, of the interval in which it was done, in blocks that have intervals.
    """

    work: str
    amount: float
    ended_by: EndedBy = "planned"
    rest_before_s: float | None = None
    duration_s: float | None = None
    rir: int | None = None
    variation: str | None = None
    load_kg: float | None = None
    assistance_kg: float | None = None
    height_cm: float | None = None
    unit: str = REPETITIONS
    interval: int | None = None

    @property
    def repetitions(self) -> int:
        """The amount as whole repetitions. Raises ValueError for a set that is counted otherwise."""
        if self.unit != REPETITIONS:
            raise ValueError(f"a set of {self.work} is counted in {self.unit}")
        return int(self.amount)


@dataclass(frozen=True)
class SetLog:
    """Sets in the order they were done, the clock at the end of the last one, and at the split if it was read."""

    sets: tuple[SetEntry, ...]
    elapsed_s: float | None = None
    split_s: float | None = None


@dataclass(frozen=True)
class Totals:
    """The clock, the number of breaks and the amount of each work item; None is unknown.

    misses: intervals whose work was not done, or attempts that failed; smallest_interval: the least amount of
    any interval; heaviest_kg: the heaviest load that succeeded.
    """

    elapsed_s: float | None
    breaks: int | None
    amounts: tuple[tuple[str, float], ...]
    misses: int | None = None
    split_s: float | None = None
    smallest_interval: float | None = None
    heaviest_kg: float | None = None


def totals_from(payload: Mapping[str, object]) -> Totals:
    """Totals from validated JSON, `amounts` by work key; TypeError when it was not validated."""
    amounts = payload.get("amounts") or {}
    if not isinstance(amounts, Mapping):
        raise TypeError("amounts must be an object")
    return Totals(
        elapsed_s=_number(payload, "elapsed_s"),
        breaks=_count(payload, "breaks"),
        amounts=tuple(sorted((str(work), float(amount)) for work, amount in amounts.items())),
        misses=_count(payload, "misses"),
        split_s=_number(payload, "split_s"),
        smallest_interval=_number(payload, "smallest_interval"),
        heaviest_kg=_number(payload, "heaviest_kg"),
    )


def _number(payload: Mapping[str, object], name: str) -> float | None:
    value = payload.get(name)
    if value is None:
        return None
    if not isinstance(value, (int, float)):
        raise TypeError(f"{name} must be a number")
    return float(value)


def _count(payload: Mapping[str, object], name: str) -> int | None:
    value = payload.get(name)
    if not (value is None or isinstance(value, int)):
        raise TypeError(f"{name} must be a whole number")
    return value
