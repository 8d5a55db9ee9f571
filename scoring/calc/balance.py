"""Training balance: work by quality and by pattern of movement, held against the shares that a coach wants.

There are two books, which are never added: work of repetitions and holds is counted in hard sets, cyclical work in
seconds. A set is hard with at most HARD_RESERVE repetitions left (common practice, no source), a hold with at most a
quarter of what was possible left (ours). Of a set whose distance to failure nobody knows it is not known whether it
was hard: such sets are counted by themselves.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from athletes.calc.external_load import HARD_RESERVE
from programming.calc.revision import HOLD
from scoring.calc.profile import Profile, ProfiledSet

BALANCE_VERSION: Final = 1
SETS, CYCLICAL = "sets", "cyclical"
HOLD_LEFT: Final = 1.0 / 3.0
"""Of the seconds that were held: a quarter of all that was possible."""
UNCLEAR: Final = "unclear"
BY_LABEL: Final = frozenset({"skill", "mobility"})
"""What the length of sets tells nothing of: there the coach's word holds."""
ROUNDING: Final = 0.005
"""By how much the sum of shares may miss 1."""

NOTHING_COUNTED: Final = "nothing_counted"
DURATIONS_NOT_KNOWN: Final = "durations_not_known"


@dataclass(frozen=True)
class Entry:
    """Of one block: sets of one pattern in one book. hard_sets and unknown_sets: of those in the book of sets; work_s
    [s]: None where a set's time is not known."""

    book: str
    quality: str
    pattern: str
    sets: int
    hard_sets: int
    unknown_sets: int
    work_s: float | None


@dataclass(frozen=True)
class Sum:
    """The same of several entries under one name."""

    sets: int = 0
    hard_sets: int = 0
    unknown_sets: int = 0
    work_s: float | None = 0.0

    def plus(self, one: "Entry | Sum") -> "Sum":
        known = self.work_s is not None and one.work_s is not None
        return Sum(
            self.sets + one.sets,
            self.hard_sets + one.hard_sets,
            self.unknown_sets + one.unknown_sets,
            (self.work_s or 0.0) + (one.work_s or 0.0) if known else None,
        )


@dataclass(frozen=True)
class Line:
    """One quality or pattern. Shares are of the unit of the book, 0 to 1; None with the reason. ahead: the share that
    was done less the target."""

    name: str
    planned: Sum
    done: Sum
    planned_share: float | None
    planned_share_reason: str | None
    done_share: float | None
    done_share_reason: str | None
    target_share: float | None
    ahead: float | None
    ahead_reason: str | None


@dataclass(frozen=True)
class Balance:
    """By the name of what is divided: sets_by_quality, sets_by_pattern, cyclical_by_quality."""

    sets_by_quality: tuple[Line, ...]
    sets_by_pattern: tuple[Line, ...]
    cyclical_by_quality: tuple[Line, ...]


def quality_of(label: str, profile: Profile) -> str:
    """Which quality the sets of a block are booked under: what they train, whatever the session is called."""
    if label in BY_LABEL:
        return label
    if label == "power" and profile.trains == "maximal_strength":
        return label
    return profile.trains or UNCLEAR


def entries_of(sets: Sequence[ProfiledSet], quality: str) -> tuple[Entry, ...]:
    """Of the sets of one block, by book and pattern; a set of nothing is none."""
    found: dict[tuple[str, str], Sum] = {}
    for one in sets:
        if one.amount > 0.0:
            key = (CYCLICAL if one.paced else SETS, one.pattern or UNCLEAR)
            found[key] = found.get(key, Sum()).plus(_of_set(one))
    return tuple(
        Entry(book, quality, pattern, told.sets, told.hard_sets, told.unknown_sets, told.work_s)
        for (book, pattern), told in sorted(found.items())
    )


def balance_of(
    planned: Iterable[Entry], done: Iterable[Entry], targets: Mapping[str, Mapping[str, float]]
) -> Balance:
    """targets: shares by name of what is divided, then by quality or pattern; what is left out has no target."""
    before, after = list(planned), list(done)

    def lines(divided: str, book: str, by: str) -> tuple[Line, ...]:
        first, second = (_sums((o for o in listed if o.book == book), by) for listed in (before, after))
        return _lines(book, first, second, targets.get(divided, {}))

    return Balance(
        lines("sets_by_quality", SETS, "quality"),
        lines("sets_by_pattern", SETS, "pattern"),
        lines("cyclical_by_quality", CYCLICAL, "quality"),
    )


def misses_one(shares: Iterable[float]) -> bool:
    """Whether shares do not add to 1, rounding apart."""
    return abs(sum(shares) - 1.0) > ROUNDING + 1e-12


def _of_set(one: ProfiledSet) -> Sum:
    if one.paced:
        return Sum(1, 0, 0, one.seconds)
    limit = HOLD_LEFT * one.amount if one.unit == HOLD else HARD_RESERVE
    hard = one.reserve is not None and one.reserve <= limit
    return Sum(1, int(hard), int(one.reserve is None), one.seconds)


def _sums(entries: Iterable[Entry], by: str) -> dict[str, Sum]:
    found: dict[str, Sum] = {}
    for one in entries:
        name = getattr(one, by)
        found[name] = found.get(name, Sum()).plus(one)
    return found


def _lines(
    book: str, planned: Mapping[str, Sum], done: Mapping[str, Sum], targets: Mapping[str, float]
) -> tuple[Line, ...]:
    names = sorted({*planned, *done, *targets})
    before, after = _shares(book, planned, names), _shares(book, done, names)
    return tuple(
        _line(name, planned.get(name, Sum()), done.get(name, Sum()), before[name], after[name], targets)
        for name in names
    )


def _line(
    name: str,
    planned: Sum,
    done: Sum,
    before: tuple[float | None, str | None],
    after: tuple[float | None, str | None],
    targets: Mapping[str, float],
) -> Line:
    target = targets.get(name, 0.0) if targets else None
    ahead, why_not = None, after[1] or "no_target"
    if after[0] is not None and target is not None:
        ahead = after[0] - target
    return Line(name, planned, done, *before, *after, target, ahead, why_not if ahead is None else None)


def _shares(
    book: str, sums: Mapping[str, Sum], names: Sequence[str]
) -> dict[str, tuple[float | None, str | None]]:
    """Of all under these names: (share, None), or None with the reason."""
    amounts = {name: _amount(book, sums.get(name, Sum())) for name in names}
    if any(amount is None for amount in amounts.values()):
        return dict.fromkeys(names, (None, DURATIONS_NOT_KNOWN))
    total = sum(amount or 0.0 for amount in amounts.values())
    if not total:
        return dict.fromkeys(names, (None, NOTHING_COUNTED))
    return {name: ((amount or 0.0) / total, None) for name, amount in amounts.items()}


def _amount(book: str, told: Sum) -> float | None:
    return float(told.hard_sets) if book == SETS else told.work_s
