"""Whether a draft is a session: its form, its contradictions, and that the catalogue has what it names."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from programming.calc.difference_words import plain
from programming.calc.document import DocumentError, contradictions, parse_revision
from programming.calc.reader import Problem, child
from programming.calc.revision import AsWritten, RevisionDoc, WorkItem
from programming.models import Movement
from programming.plans import VariationEntry, variations_of_movements


def draft_problems(draft: Mapping[str, Any]) -> list[Problem]:
    """Everything that keeps the draft from being published, [] when nothing does (no query or two)."""
    try:
        doc = parse_revision(draft)
    except DocumentError as error:
        return list(error.problems)
    return [*contradictions(doc), *_unknown(doc)]


def _unknown(doc: RevisionDoc) -> list[Problem]:
    work = dict(_placed(doc))
    named = {item.movement for item in work.values()}
    movements = set(Movement.objects.filter(key__in=named).values_list("key", flat=True))
    variations = variations_of_movements(named)
    return [
        problem for at, item in work.items() for problem in _item_problems(at, item, movements, variations)
    ]


def _placed(doc: RevisionDoc) -> Iterator[tuple[str, WorkItem]]:
    """Every work item with its pointer, penalty work included."""
    for number, block in enumerate(doc.blocks):
        for index, item in enumerate(block.work):
            yield child("/blocks", number, "work", index), item
        penalty = block.rules.break_rule.penalty_work
        if penalty is not None:
            yield child("/blocks", number, "rules", "break", "penalty_work"), penalty


def _item_problems(
    at: str, item: WorkItem, movements: Collection[str], variations: Mapping[str, VariationEntry]
) -> list[Problem]:
    if item.movement not in movements:
        detail = "Name a movement of the organisation's catalogue, or add this one to it."
        return [Problem(f"{at}/movement", "unknown_movement", detail)]
    known = {key: entry for key, entry in variations.items() if entry.movement.key == item.movement}
    found = [
        _unknown_variation(f"{at}/variations/{index}", item, known)
        for index, key in enumerate(item.variations)
        if key not in known
    ]
    written = known.get(item.as_written.variation)
    if written is None:
        return [*found, _unknown_variation(f"{at}/as_written/variation", item, known)]
    named = [*item.variations] or [item.as_written.variation]
    uncounted = [key for key in named if key in known and item.unit not in known[key].variation.counted_in]
    found += [
        Problem(f"{at}/{item.unit}", "not_counted_so", f"{known[key].name} is not counted in {item.unit}.")
        for key in uncounted
    ]
    return found + _setting_problems(f"{at}/as_written", item.as_written, written)


def _unknown_variation(at: str, item: WorkItem, known: Mapping[str, VariationEntry]) -> Problem:
    named = next((one.movement.name for one in known.values()), plain(item.movement))
    return Problem(at, "unknown_variation", f"Name a variation of {named} in the organisation's catalogue.")


def _setting_problems(at: str, written: AsWritten, entry: VariationEntry) -> list[Problem]:
    """Settings that the variation does not have, or lacks, or that nobody measured."""
    settings = {
        "load": ("load_kg", written.load_kg),
        "assistance": ("assistance_kg", written.assistance_kg),
        "height": ("height_cm", written.height_cm),
    }
    variation, found = entry.variation, []
    for setting, (name, value) in settings.items():
        if value is not None and setting not in variation.adjustable:
            found.append(Problem(f"{at}/{name}", "not_adjustable", f"{entry.name} has no {setting} to set."))
        elif value is None and setting in variation.required:
            found.append(Problem(f"{at}/{name}", "missing_setting", f"{entry.name} needs a {setting}."))
    if written.load_kg is not None and written.assistance_kg is not None:
        found.append(Problem(at, "load_and_assistance", "Set a load or an assistance, not both."))
    heights = [height for height, _ in variation.height_fractions]
    if written.height_cm is not None and heights and not heights[0] <= written.height_cm <= heights[-1]:
        detail = f"Use a height from {heights[0]:g} to {heights[-1]:g} cm; others were not measured."
        found.append(Problem(f"{at}/height_cm", "not_measured", detail))
    return found
