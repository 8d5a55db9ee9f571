"""What was done, kind by kind: kilograms moved, hard sets by muscle group, metres, minutes. Never added across kinds.

    volume load   sum over sets of repetitions * moved kg,   moved = f * body mass + f_ext * external - assistance
    hard set      one that ended within HARD_RESERVE repetitions of failure, or by it (a convention, from memory)
    direct sets   of a muscle group that does most of the movement; fractional: others count a half

Body mass is part of what is moved, by the fraction of the variation (`programming.calc.load`). Those of barbells
are 0 in the catalogue, as their percentages of the maximum are published; whoever wants body mass in them gives the
fraction (0.878 in a squat: body mass above the knees, segment masses of Winter, from memory). Without a body mass
what needs it is not told, which is not the external load alone.

Indirect sets count one half: the fractional count has the best support (Pelland et al., The Resistance Training Dose
Response, Sports Med; read in secondary texts). A set whose load nobody knows (a band that was not measured) counts as
a set and moves no kilograms; so does a warm-up set, which is no hard one.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Final, NamedTuple

from athletes.calc.load import Figure

HARD_RESERVE: Final = 3.0
DIRECT_FROM: Final = 0.75
"""Share of the weight of the movement's strongest muscle group from which on a group works directly; ours."""
INDIRECT: Final = 0.5
LEAST_SHARE: Final = 0.25
"""Below it a group holds still rather than works; ours."""

NO_LOAD_KNOWN: Final = "load_not_known"
NO_SETS: Final = "no_sets"


class DoneSet(NamedTuple):
    """One set. moved_kg: in each repetition, 0 where it moves nothing, None where it is not known; reserve:
    repetitions that were left, None where nobody said; muscles: groups with their weights. What is not counted is
    None."""

    movement: str
    repetitions: float | None = None
    moved_kg: float | None = None
    failed: bool = False
    reserve: float | None = None
    muscles: tuple[tuple[str, float], ...] = ()
    warm_up: bool = False
    metres: float | None = None
    seconds: float | None = None
    kilocalories: float | None = None


class MuscleSets(NamedTuple):
    """Hard sets of a muscle group, counted three ways."""

    direct: float
    fractional: float
    total: float


class Volume(NamedTuple):
    """volume_load_kg of sets counted in repetitions; sets_without_load: of these, whose load is not known."""

    volume_load_kg: Figure
    sets: int
    sets_without_load: int
    repetitions: float


class Done(NamedTuple):
    """By kind; each stands for itself. Metres and kilocalories by movement."""

    volume: Volume
    hard_sets: Mapping[str, MuscleSets]
    metres: Mapping[str, float]
    kilocalories: Mapping[str, float]
    minutes: float


def is_hard(one: DoneSet) -> bool:
    """Whether a set counts as hard: nobody guesses a reserve that was not told."""
    if one.warm_up or one.repetitions is None:
        return False
    return one.failed or (one.reserve is not None and one.reserve <= HARD_RESERVE)


def done_of(sets: Iterable[DoneSet]) -> Done:
    """The ledger of the sets. Minutes are of sets whose seconds are known. Raises ValueError for amounts below 0."""
    found = list(sets)
    for one in found:
        if any(amount is not None and not 0.0 <= amount < float("inf") for amount in _amounts(one)):
            raise ValueError(f"amounts must be at least 0 and finite, got {one}")
    metres: dict[str, float] = defaultdict(float)
    kilocalories: dict[str, float] = defaultdict(float)
    for one in found:
        if one.metres is not None:
            metres[one.movement] += one.metres
        if one.kilocalories is not None:
            kilocalories[one.movement] += one.kilocalories
    minutes = sum(one.seconds for one in found if one.seconds is not None) / 60.0
    return Done(_volume(found), _hard_sets(found), dict(metres), dict(kilocalories), minutes)


def _amounts(one: DoneSet) -> tuple[float | None, ...]:
    return one.repetitions, one.moved_kg, one.metres, one.seconds, one.kilocalories


def _volume(sets: list[DoneSet]) -> Volume:
    counted = [(one.repetitions, one.moved_kg) for one in sets if one.repetitions is not None]
    unknown = sum(kg is None for _, kg in counted)
    total = sum(repetitions * kg for repetitions, kg in counted if kg is not None)
    if not counted:
        figure = Figure(None, NO_SETS)
    else:
        figure = Figure(None, NO_LOAD_KNOWN) if unknown == len(counted) else Figure(total)
    return Volume(figure, len(counted), unknown, sum(repetitions for repetitions, _ in counted))


def _hard_sets(sets: list[DoneSet]) -> dict[str, MuscleSets]:
    counts: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0, 0.0])
    for one in filter(is_hard, sets):
        strongest = max((weight for _, weight in one.muscles), default=1.0)
        for muscle, weight in one.muscles:
            share = weight / strongest
            if share < LEAST_SHARE:
                continue
            direct = share >= DIRECT_FROM
            for place, more in enumerate((float(direct), 1.0 if direct else INDIRECT, 1.0)):
                counts[muscle][place] += more
    return {muscle: MuscleSets(*numbers) for muscle, numbers in sorted(counts.items())}
