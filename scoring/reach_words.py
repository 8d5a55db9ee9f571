"""What a coach should know of a session that was tried on people, in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from programming.calc.difference_words import condition_named, window_said
from programming.calc.revision import Condition
from programming.plans import SessionPlan
from scoring.calc.prescription import PrescriptionResult, Reason
from scoring.names import Names, names_of
from scoring.reach import Tried
from scoring.words import reason_said
from scoring.working_out import COARSE, work_out

REACHED: Final = 0.25
"""From this probability on a condition counts as within reach, as for a known athlete's prescription (ours)."""

NOBODY_THERE: Final = (
    "Nobody was tried beside the typical athletes, since you see no active athlete who trains at this location: enter"
    " them there, or name those whom you mean in `athletes`."
)


def sentences(plan: SessionPlan, tried: Sequence[Tried]) -> list[str]:
    """What a coach should know of it, the typical athletes first."""
    typical = [one for one in tried if one.person.typical is not None]
    real = [one for one in tried if one.person.typical is None]
    found = [line for block in plan.doc.blocks for line in _of_block(plan, block.key, typical)]
    if typical and not found:
        found.append(
            "Every typical athlete, from the weakest tenth to the strongest, has a version that serves."
        )
    if real:
        without = [one.person.name for one in real if not one.worked.feasible]
        of = f"Of {len(real)} athletes of the location"
        found.append(
            f"{of}, {len(without)} {'has' if len(without) == 1 else 'have'} no version that serves:"
            f" {', '.join(without[:10])}."
            if without
            else f"{of}, every one has a version that serves."
        )
    return found


def _of_block(plan: SessionPlan, key: str, typical: Sequence[Tried]) -> Iterator[str]:
    missing: dict[str, list[Tried]] = {}
    names = names_of(plan)
    for one in typical:
        result = one.worked.results[key]
        for what in _out_of_reach(names, key, result):
            missing.setdefault(what, []).append(one)
    concerned = [one for one in typical if any(one in ones for ones in missing.values())]
    helps = _with_whole_ladder(plan, key, concerned)
    for what, ones in missing.items():
        yield f"{_who(ones)} {what}{_instead(plan, key, ones, helps)}"


def _out_of_reach(names: Names, key: str, result: PrescriptionResult) -> Iterator[str]:
    low = [one for one in result.conditions if one.probability is not None and one.probability < REACHED]
    for one in low:
        asked = Condition(one.kind, None, one.lower, one.upper, one.by)
        of = f" in {names.block(key)}" if one.work is None else f" of {names.work(one.work)}"
        about = f"{condition_named(asked)}{of}, {window_said(asked)},"
        yield f"reaches what is asked of {about} with the variations allowed"
    if not result.feasible and not low:
        why = (_reason(reason, names) for reason in result.reasons if reason.code != COARSE)
        yield f"has a version in {names.block(key)} ({'; '.join(dict.fromkeys(why))})"


def _reason(reason: Reason, names: Names) -> str:
    return reason_said(reason.code) + ("" if reason.work is None else f": {names.work(reason.work)}")


def _who(ones: Sequence[Tried]) -> str:
    """Whom it concerns, as a part of "... reaches ..."."""
    levels = sorted({one.person.typical.percentile for one in ones if one.person.typical is not None})
    sexes = {one.person.typical.sex for one in ones if one.person.typical is not None}
    only = "" if len(sexes) > 1 else f" ({', '.join(sorted(sexes))})"
    if levels == [10, 50, 90]:
        return f"Nobody{only}"
    if levels[0] == 10:
        return f"Nobody{only} below the middle" if levels == [10] else f"Nobody{only} up to the middle"
    if levels[-1] == 90:
        return f"Nobody{only} above the middle" if levels == [90] else f"Nobody{only} from the middle up"
    return f"Nobody{only} at the {', '.join(f'{level}th' for level in levels)} percentile"


def _with_whole_ladder(
    plan: SessionPlan, key: str, ones: Sequence[Tried]
) -> Mapping[str, PrescriptionResult] | None:
    """The block by person with all variations of its movements; None where it allows them, or no effort is left."""
    block = plan.doc.block(key)
    if block is None or not any(item.variations for item in block.work):
        return None
    if any(one.person.known.effort <= 0.0 for one in ones):
        return None
    open_block = replace(block, work=tuple(replace(item, variations=()) for item in block.work))
    blocks = tuple(open_block if one.key == key else one for one in plan.doc.blocks)
    wide = replace(plan, doc=replace(plan.doc, blocks=blocks))
    return {
        one.person.name: work_out(wide, one.person.inputs, one.person.known, only={key}).results[key]
        for one in ones
    }


def _instead(
    plan: SessionPlan, key: str, ones: Sequence[Tried], helps: Mapping[str, PrescriptionResult] | None
) -> str:
    """What the whole ladder of the movements would offer, if it serves where the allowed variations do not."""
    if helps is None:
        return "."
    helped: list[Tried] = []
    new: set[str] = set()
    for one in ones:
        result = helps[one.person.name]
        if result.feasible:
            helped.append(one)
            found = {chosen.option.variation_key for chosen in result.chosen} - _allowed(plan, key)
            new |= {names_of(plan).variation(variation) for variation in found}
    if not helped or not new:
        return "; the whole ladder would not help: choose other work or another window."
    rest = [one for one in ones if one not in helped]
    if not rest:
        return f"; allow {' and '.join(sorted(new))}."
    names = ", ".join(one.person.name for one in rest)
    return f"; allow {' and '.join(sorted(new))}, which does not help everybody ({names})."


def _allowed(plan: SessionPlan, key: str) -> set[str]:
    """Every variation that the block's work may be done with."""
    block = plan.doc.block(key)
    items = () if block is None else block.items
    return {entry.variation.key for item in items for entry in plan.ladder(item.key)}
