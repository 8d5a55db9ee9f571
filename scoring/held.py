"""The parts of a result that are held against the forecast it was done under, and which of them must not count.

A forecast is of certain work for a certain person at a certain time, and says nothing of anything else. So there
counts, whichever way it came out, nothing of a result

- that is not believed, or that nobody has looked at yet though it cannot be (`not_believed`);
- whose prescription was made after it, or was replaced by a newer one before it (`made_afterwards`, `replaced`);
- whose forecast does not tell the ends of the intervals (`older_forecast`);

no score of a block with a set that pain ended (`pain`), done in another version or with another load than told
(`other_version`), or that adds up under other amounts than were prescribed (`other_amounts`); and no first set in
another version, or that is not fresh: the movement was done before in the session, or the plan foresaw it tired by
other work (`not_fresh`). Amounts do not matter to a first set: what is available fresh is the same for any of them.
What an override prescribed was foreseen by the same method for another choice, so it is marked and told apart.
Sets that pain or a judge ended are no check at all.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from programming.calc.revision import Block
from programming.plans import SessionPlan
from scoring.calc.forecast import BlockForecast
from scoring.calc.held_against import Held, draw_of, hold_first_set, hold_score
from scoring.calc.score import Score
from scoring.entries import Done, told_to_do
from scoring.models import Attempt, ForecastCheck
from scoring.observed import Logged
from scoring.sent import SETTINGS, told_with

FIRST_WITH_ENDS: Final = 3
"""The first version of forecasts that tells the ends of the intervals of 50, 80 and 95 %."""
AS_FRESH: Final = 0.95
"""A first set that the plan begins with this share of what is available fresh, or more, is fresh (ours)."""


@dataclass(frozen=True)
class Scored:
    """A block of a result, by the amounts that it was scored by, with the forecast that was frozen for it.

    as_prescribed: these are the amounts of the prescription.
    """

    block: Block
    score: Score
    frozen: BlockForecast | None
    as_prescribed: bool


@dataclass(frozen=True)
class Under:
    """A result and what was told to be done in it; why_not: why nothing of it counts, "" where its parts may."""

    attempt: Attempt
    plan: SessionPlan
    logged: Sequence[Logged]
    told: set[Done]
    why_not: str


def checks_of(
    attempt: Attempt, plan: SessionPlan, logged: Sequence[Logged], blocks: Sequence[Scored], why_not: str
) -> list[ForecastCheck]:
    """The rows of a result, not stored; why_not: why nothing of it counts, "" where its parts may (no query)."""
    given = attempt.prescription
    if given is None:
        return []
    content: Mapping[str, Any] = given.content
    result = Under(attempt, plan, logged, told_to_do(content, plan), why_not)
    rows = []
    for one in blocks:
        if one.frozen is not None:
            rows += [*_score_row(result, one, one.frozen), *_set_rows(result, one, one.frozen)]
    for row in rows:
        row.overridden = content.get("overridden_by") is not None
    return rows


def _score_row(result: Under, one: Scored, frozen: BlockForecast) -> Iterator[ForecastCheck]:
    held = hold_score(one.score, frozen, _draw(result.attempt, one.block.key, ""))
    if held is not None:
        why = _of_all(result, frozen) or _score_left_out(result, one)
        yield _row(result, one, held, frozen, left_out=why, scored=one.block.rules.scored)


def _set_rows(result: Under, one: Scored, frozen: BlockForecast) -> Iterator[ForecastCheck]:
    foreseen = {part.work: part for part in frozen.work}
    for item, is_fresh in _first_sets(result, one.block, frozen):
        work = item.entry.work
        if work not in foreseen:
            continue
        held = hold_first_set(item.entry, foreseen[work], _draw(result.attempt, one.block.key, work))
        if held is not None:
            own = "" if _done(item) in result.told else "other_version"
            why = _of_all(result, frozen) or own or ("" if is_fresh else "not_fresh")
            movement = item.done.movement.id
            yield _row(result, one, held, frozen, left_out=why, work=work, movement_id=movement)


def _of_all(result: Under, frozen: BlockForecast) -> str:
    return result.why_not or ("older_forecast" if frozen.version < FIRST_WITH_ENDS else "")


def _draw(attempt: Attempt, block: str, work: str) -> float:
    """Of the subject, not of the version of the result: a correction of something else moves nothing."""
    return draw_of(attempt.session_id, attempt.athlete_id, block, work)


def _row(result: Under, one: Scored, held: Held, frozen: BlockForecast, **subject: Any) -> ForecastCheck:
    attempt = result.attempt
    return ForecastCheck(
        org_id=attempt.org_id,
        attempt=attempt,
        session_id=attempt.session_id,
        athlete_id=attempt.athlete_id,
        block=one.block.key,
        local_date=attempt.local_date,
        forecast_version=frozen.version,
        **subject,
        **{name: getattr(held, name) for name in _HELD},
    )


_HELD: Final = ("unit", "kind", "low", "high", "position", "done", "median", "difference")


def _score_left_out(result: Under, one: Scored) -> str:
    mine = [item for item in result.logged if one.block.index_of(item.entry.work) is not None]
    if any(item.entry.ended_by == "pain" for item in mine):
        return "pain"
    if not {_done(item) for item in mine} | _in_totals(result, one.block) <= result.told:
        return "other_version"
    return "" if one.as_prescribed else "other_amounts"


def _done(item: Logged) -> Done:
    return (item.entry.work, item.done.variation_id, *(getattr(item.entry, name) for name in SETTINGS))


def _in_totals(result: Under, block: Block) -> set[Done]:
    """The versions that totals name; of those that name none it is believed that they are as prescribed."""
    found = set()
    for entry in told_with(result.attempt.as_sent):
        if block.index_of(entry["work"]) is not None:
            known = result.plan.variations.get(entry["variation"])
            version = None if known is None else known.variation_id
            found.add((entry["work"], version, *(entry.get(name) for name in SETTINGS)))
    return found


def _first_sets(result: Under, block: Block, frozen: BlockForecast) -> Iterator[tuple[Logged, bool]]:
    """The first set of each work of the block, and whether it is fresh."""
    seen: set[UUID] = set()
    begun: set[str] = set()
    for item in result.logged:
        work, movement = item.entry.work, item.done.movement.id
        if block.index_of(work) is not None and work not in begun:
            begun.add(work)
            yield item, movement not in seen and _is_foreseen_fresh(frozen, work)
        seen.add(movement)


def _is_foreseen_fresh(frozen: BlockForecast, work: str) -> bool:
    """Whether the plan, where it has a set of the work, begins it with what is available fresh, or nearly so."""
    fresh = next((one.fresh for one in frozen.work if one.work == work), None)
    first = next((one.available for one in frozen.plan if one.work == work), None)
    return fresh is None or first is None or first >= AS_FRESH * fresh.p50
