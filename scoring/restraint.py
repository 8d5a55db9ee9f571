"""What the athlete's safety asks of a session: caps of amounts, no failure, and cautions with their source.

After an absence the volume of each movement in the whole session is capped: at the share of its highest volume before
(athletes.calc.absence), and of a movement that was not done then at the same share of what is written. Work that the
body is not used to (athletes.calc.caution) is planned below failure and cautioned. It is cut to what is no great
step, of who went to failure in it of late to a few times what they did so where that is more, and only of
athletes whose training of late is recorded: of others nobody has seen whether they do it elsewhere (ours). The
figures of lifting in a return restrain nothing here: they are told as a caution (scoring.cautions), since the maximum
that they are shares of is an estimate.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import floor, inf
from typing import Final
from uuid import UUID

from athletes.calc.caution import NOVEL_EXPOSURE, Caution, PlannedWork, cautions, exposure
from athletes.safety import Safety
from programming.calc.revision import REPETITIONS, WorkItem
from programming.plans import MovementEntry, SessionPlan
from scoring.calc.caps import UsedTo
from scoring.calc.volume import FAR_MORE_VOLUME, turns

CAPPED_PREFIX: Final = "volume_cap:"
# Of the young and the old half as many bouts to failure (ours).
ADULT_FROM: Final = 18
OLD_FROM: Final = 66
SPARED_SHARE: Final = 0.5


@dataclass(frozen=True)
class Restraint:
    """caps: the most of a work item over its whole block, by work key; below_failure: movements of which no set is
    planned to failure; to_failure False: no set at all is; unaccustomed: by movement key why; movements: the key of
    each work item's movement, by work key; used_to: of work that is far more than was done of late, by work key;
    introductions: repetitions that are an ordinary beginning of what is new, by work key; written: repetitions over
    the whole session by movement key, infinite where an item of it is open.
    """

    caps: Mapping[str, float]
    to_failure: bool
    below_failure: frozenset[UUID]
    unaccustomed: Mapping[str, Caution]
    movements: Mapping[str, str]
    used_to: Mapping[str, UsedTo] = field(default_factory=dict)
    introductions: Mapping[str, float] = field(default_factory=dict)
    written: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class _Planned:
    """A main work item with what is written of it over the whole block; None: open, or without an end."""

    item: WorkItem
    movement: MovementEntry
    total: float | None
    eccentric: float


def restraint_of(plan: SessionPlan, safety: Safety) -> Restraint:
    """What holds the session back for an athlete of whom this is known."""
    planned = _planned(plan)
    found = _unaccustomed(plan, planned, safety)
    return Restraint(
        caps=_caps(planned, safety),
        to_failure=safety.to_failure,
        below_failure=frozenset(found),
        unaccustomed={
            one.movement.key: found[one.movement.id] for one in planned if one.movement.id in found
        },
        movements={one.item.key: one.movement.key for one in planned},
        used_to=_used_to(planned, found, safety) if safety.recent_failure else {},
        introductions=_introductions(planned),
        written=_written(planned),
    )


def _planned(plan: SessionPlan) -> list[_Planned]:
    found = []
    for block in plan.doc.blocks:
        for index, item in enumerate(block.work):
            entry = plan.variations.get(item.as_written.variation)
            times = turns(block, index)
            total = None if times is None or item.amount is None else times * item.amount
            eccentric = 0.5 if entry is None else entry.variation.eccentric
            found.append(_Planned(item, plan.movement(item.key), total, eccentric))
    return found


def _written(planned: Sequence[_Planned]) -> dict[str, float]:
    found: dict[str, float] = defaultdict(float)
    for one in planned:
        if one.item.unit == REPETITIONS:
            found[one.movement.key] += inf if one.total is None else one.total
    return dict(found)


def _caps(planned: Sequence[_Planned], safety: Safety) -> dict[str, float]:
    """Of a movement in several places each is cut by the same share; open work counts as the whole cap."""
    together: dict[tuple[UUID, str], list[_Planned]] = defaultdict(list)
    for one in planned:
        together[one.movement.id, one.item.unit].append(one)
    caps: dict[str, float] = {}
    for (movement_id, unit), parts in together.items():
        counted = unit == REPETITIONS
        known = (
            safety.volume_caps.get(movement_id) if counted else safety.amount_caps.get((movement_id, unit))
        )
        most = known if known is not None else _share_of_written(parts, safety.volume_share, unit)
        if most is None:
            continue
        wanted = [most if one.total is None else one.total for one in parts]
        if sum(wanted) > most or any(one.total is None for one in parts):
            share = most / max(sum(wanted), 1e-9)
            caps |= {
                one.item.key: float(floor(share * asked + 1e-9))
                for one, asked in zip(parts, wanted, strict=True)
            }
    return caps


def _share_of_written(parts: Sequence[_Planned], share: float, unit: str) -> float | None:
    """Of a movement that was not done before the absence; open repetitions count as an introduction."""
    if share >= 1.0:
        return None
    fixed = sum(one.total for one in parts if one.total is not None)
    if any(one.total is None for one in parts):
        return share * (fixed or NOVEL_EXPOSURE) if unit == REPETITIONS or fixed else None
    return share * fixed


def _introduction(one: _Planned) -> float:
    """Repetitions of a movement that are an ordinary beginning."""
    return NOVEL_EXPOSURE / exposure(1.0, one.eccentric)


def _introductions(planned: Sequence[_Planned]) -> dict[str, float]:
    """Of repetitions; each place of a movement gets its part, open work as much as a whole introduction."""
    counted = [(one, one.total or _introduction(one)) for one in planned if one.item.unit == REPETITIONS]
    together: dict[UUID, float] = defaultdict(float)
    for one, total in counted:
        together[one.movement.id] += total
    return {one.item.key: total / together[one.movement.id] * _introduction(one) for one, total in counted}


def _failed_bouts(safety: Safety) -> float:
    """How many times what went to failure in one bout of late may be done."""
    spared = safety.age is not None and not ADULT_FROM <= safety.age < OLD_FROM
    return FAR_MORE_VOLUME * (SPARED_SHARE if spared else 1.0)


def _used_to(planned: Sequence[_Planned], found: Mapping[UUID, Caution], safety: Safety) -> dict[str, UsedTo]:
    """Of fixed repetitions; each place of a movement gets its part of what is no great step from what was done of
    late.
    """
    fixed = [
        (one, one.total)
        for one in planned
        if one.item.unit == REPETITIONS and one.total and one.movement.id in found
    ]
    together: dict[UUID, float] = defaultdict(float)
    for one, total in fixed:
        together[one.movement.id] += total
    used = {}
    for one, total in fixed:
        share, caution = total / together[one.movement.id], found[one.movement.id]
        most = share * caution.most_repetitions
        used[one.item.key] = UsedTo(most, share, _failed_bouts(safety), caution.failed, caution.spent)
    return used


def _unaccustomed(plan: SessionPlan, planned: Sequence[_Planned], safety: Safety) -> dict[UUID, Caution]:
    day = plan.local_date.toordinal()
    work = [
        PlannedWork(
            one.movement.id,
            day,
            NOVEL_EXPOSURE if one.total is None else one.total,
            safety.to_failure,
            one.eccentric,
        )
        for one in planned
        if one.item.unit == REPETITIONS
    ]
    return {caution.movement_id: caution for caution in cautions(work, safety.recent_failure)}
