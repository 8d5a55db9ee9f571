"""What a session is for one athlete, set by set: how long it works and rests, in sets of what length, how close to
failure, and which quality that trains.

Two athletes who do the same session do not do the same training: in sets of five it is strength, in sets of twenty
endurance. Everything is counted over the sets of a plan or of a log; rests and reserves that a log leaves out are not
guessed, and a set of repetitions without a duration takes its movement's usual time.

Sets by length (NSCA guidance, from memory): up to 6 repetitions strength, from 12 endurance, between them growth.
Later sets train what the first set of their work does, since only fatigue has shortened them: a first set of 20 to 30
is endurance work (common practice, no source). A first set that stops short of what was possible tells nothing.
The last repetitions before failure are those with fewer than NEAR left (common practice, no source).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from programming.calc.revision import REPETITIONS

Trained = Literal[
    "maximal_strength", "strength_and_growth", "local_muscular_endurance", "anaerobic_capacity", "aerobic_power",
    "aerobic_endurance",
]  # fmt: skip

PROFILE_VERSION: Final = 1
STRENGTH_UP_TO: Final = 6.0
ENDURANCE_FROM: Final = 12.0
NEAR: Final = 3.0
MAJORITY: Final = 0.5
# From this share of work in work and rest the whole is one stretch, else each set is one (ours).
ONE_STRETCH: Final = 0.5
# Up to where all-out work is paid for mostly without oxygen, and up to where it nears the highest uptake: common
# practice, no source.
ANAEROBIC_UP_TO_S: Final = 120.0
AEROBIC_POWER_UP_TO_S: Final = 1200.0

SHORT, MIDDLE, LONG = 0, 1, 2
BY_LENGTH: Final[tuple[Trained, ...]] = (
    "maximal_strength",
    "strength_and_growth",
    "local_muscular_endurance",
)

MATCHES: Final[dict[str, frozenset[str]]] = {
    "maximal_strength": frozenset({"maximal_strength"}),
    "power": frozenset({"maximal_strength"}),
    "local_muscular_endurance": frozenset({"local_muscular_endurance"}),
    "anaerobic_capacity": frozenset({"anaerobic_capacity"}),
    "aerobic_power": frozenset({"aerobic_power"}),
    "aerobic_endurance": frozenset({"aerobic_endurance"}),
}
"""By the coach's label, what the sets have to show. The length of sets tells no power from strength, and nothing of
skill and mobility."""


@dataclass(frozen=True)
class ProfiledSet:
    """One set. seconds: worked, None where nobody knows; rest_s: before it, None where nobody knows; reserve: units
    that were left at its end; pattern: of the movement; muscles: its groups with their weights; paced: cyclical work.
    """

    work: str
    amount: float
    unit: str
    seconds: float | None
    rest_s: float | None
    reserve: float | None
    pattern: str
    muscles: tuple[tuple[str, float], ...] = ()
    paced: bool = False


@dataclass(frozen=True)
class Lengths:
    """Sets and repetitions by the length of the set."""

    short_sets: int
    short_repetitions: float
    middle_sets: int
    middle_repetitions: float
    long_sets: int
    long_repetitions: float

    @property
    def repetitions(self) -> float:
        return self.short_repetitions + self.middle_repetitions + self.long_repetitions


@dataclass(frozen=True)
class Amount:
    """So much of one name, in `unit`."""

    name: str
    amount: float
    unit: str


@dataclass(frozen=True)
class Profile:
    """Of the sets of one athlete.

    work_s, rest_s [s] and density (work of both, 0 to 1): None where a set's time is not known. patterns: amounts by
    pattern of movement; muscles: repetitions by muscle group, each weighted as the movement loads it, the largest
    weight 1. near_failure: repetitions with fewer than NEAR left; reserve_known: share of the repetitions whose
    distance to failure is known. trains: None with its reason; share: of the work that says so, None where something
    else does; stretch_s: how long the effort lasts at a stretch, where that decides; stopped_by: as it was given.
    """

    sets: int
    work_s: float | None
    rest_s: float | None
    density: float | None
    lengths: Lengths
    patterns: tuple[Amount, ...]
    muscles: tuple[Amount, ...]
    near_failure: float
    reserve_known: float
    trains: Trained | None
    trains_reason: str | None
    share: float | None
    stretch_s: float | None = None
    stopped_by: str | None = None
    version: int = PROFILE_VERSION


@dataclass(frozen=True)
class _Answer:
    trains: Trained | None = None
    share: float | None = None
    stretch_s: float | None = None
    reason: str | None = None


def profile_of(sets: Sequence[ProfiledSet], stopped_by: str | None = None) -> Profile:
    """The profile of sets in the order in which they are done; stopped_by: what stops the athlete, if it is known."""
    work_s, rest_s = _sum(one.seconds for one in sets), _sum(one.rest_s for one in sets[1:])
    whole_s = None if work_s is None or rest_s is None else work_s + rest_s
    lengths = _lengths(sets)
    counted = [one for one in sets if one.unit == REPETITIONS]
    known = sum(one.amount for one in counted if one.reserve is not None)
    answer = _trains(sets, work_s, whole_s, stopped_by)
    return Profile(
        sets=len(sets),
        work_s=work_s,
        rest_s=rest_s,
        density=work_s / whole_s if work_s is not None and whole_s else None,
        lengths=lengths,
        patterns=_amounts((one.pattern, one.amount, one.unit) for one in sets if one.pattern),
        muscles=_amounts(
            (group, one.amount * weight / max(w for _, w in one.muscles), one.unit)
            for one in counted
            for group, weight in one.muscles
        ),
        near_failure=sum(_near(one) for one in counted),
        reserve_known=known / lengths.repetitions if lengths.repetitions else 0.0,
        trains=answer.trains,
        trains_reason=answer.reason,
        share=answer.share,
        stretch_s=answer.stretch_s,
        stopped_by=stopped_by,
    )


def quarrel(label: str, profile: Profile) -> bool | None:
    """Whether the sets train something else than the coach's label says; None where sets cannot tell."""
    wanted = MATCHES.get(label)
    return None if wanted is None or profile.trains is None else profile.trains not in wanted


def _sum(values: Iterable[float | None]) -> float | None:
    total = 0.0
    for value in values:
        if value is None:
            return None
        total += value
    return total


def _kind(amount: float) -> int:
    """SHORT, MIDDLE or LONG."""
    return SHORT if amount <= STRENGTH_UP_TO else MIDDLE if amount < ENDURANCE_FROM else LONG


def _lengths(sets: Sequence[ProfiledSet]) -> Lengths:
    counts, amounts = [0, 0, 0], [0.0, 0.0, 0.0]
    for one in _counted(sets):
        counts[_kind(one.amount)] += 1
        amounts[_kind(one.amount)] += one.amount
    return Lengths(
        counts[SHORT], amounts[SHORT], counts[MIDDLE], amounts[MIDDLE], counts[LONG], amounts[LONG]
    )


def _counted(sets: Sequence[ProfiledSet]) -> list[ProfiledSet]:
    return [one for one in sets if one.unit == REPETITIONS and one.amount > 0.0]


def _opened(one: ProfiledSet) -> int | None:
    """The kind of the first set of a work; None: short, though so many were possible that it is no strength."""
    stopped = one.reserve is not None and one.amount + one.reserve >= ENDURANCE_FROM
    kind = _kind(one.amount)
    return None if kind == SHORT and stopped else kind


def _by_length(sets: Sequence[ProfiledSet]) -> _Answer:
    """What most repetitions train, and their share."""
    first: dict[str, int | None] = {}
    amounts, told_nothing = [0.0, 0.0, 0.0], 0.0
    for one in _counted(sets):
        opened, own = first.setdefault(one.work, _opened(one)), _kind(one.amount)
        if opened is None and own == SHORT:
            told_nothing += one.amount
        else:
            amounts[own if opened is None else max(own, opened)] += one.amount
    total, most = sum(amounts) + told_nothing, max(range(3), key=amounts.__getitem__)
    if not total:
        return _Answer(reason="no_sets_that_tell" if sets else "no_sets")
    if amounts[most] <= MAJORITY * total:
        stopped = told_nothing > MAJORITY * total
        return _Answer(reason="sets_stopped_early" if stopped else "sets_of_every_length")
    return _Answer(BY_LENGTH[most], amounts[most] / total)


def _amounts(rows: Iterable[tuple[str, float, str]]) -> tuple[Amount, ...]:
    found: dict[tuple[str, str], float] = {}
    for name, amount, unit in rows:
        found[name, unit] = found.get((name, unit), 0.0) + amount
    return tuple(Amount(name, amount, unit) for (name, unit), amount in sorted(found.items()))


def _near(one: ProfiledSet) -> float:
    """Repetitions of a set after each of which fewer than NEAR were left."""
    return 0.0 if one.reserve is None else min(max(NEAR - one.reserve, 0.0), one.amount)


def _trains(
    sets: Sequence[ProfiledSet], work_s: float | None, whole_s: float | None, stopped_by: str | None
) -> _Answer:
    """Cyclical work, and work that breathing stops, by how long it lasts at a stretch; all other work by the length
    of the sets in which most of its repetitions are done.
    """
    if any(one.paced and one.seconds is None for one in sets):
        return _Answer(reason="durations_not_known")
    paced, told = (sum(one.seconds or 0.0 for one in some) for some in ([o for o in sets if o.paced], sets))
    share = paced / told if told else 0.0
    if share <= MAJORITY and stopped_by != "breathing":
        return _by_length(sets)
    if work_s is None or (whole_s is None and len(sets) > 1):
        return _Answer(reason="durations_not_known")
    at_once = whole_s is not None and work_s >= ONE_STRETCH * whole_s
    stretch_s = whole_s if at_once and whole_s is not None else max(one.seconds or 0.0 for one in sets)
    return _Answer(_by_duration(stretch_s), share if share > MAJORITY else None, stretch_s)


def _by_duration(seconds: float) -> Trained:
    if seconds <= ANAEROBIC_UP_TO_S:
        return "anaerobic_capacity"
    return "aerobic_power" if seconds <= AEROBIC_POWER_UP_TO_S else "aerobic_endurance"
