"""Reading the work and the aim of a block: see ``programming.calc.document``."""

from collections.abc import Mapping

from programming.calc.reader import MISSING, Reader, child
from programming.calc.revision import (
    DISTANCE,
    ENERGY,
    HOLD,
    REPETITIONS,
    UNITS,
    Aim,
    AsWritten,
    Condition,
    WorkItem,
)

SETTING_LIMITS = {"load_kg": 500.0, "assistance_kg": 500.0, "height_cm": 300.0}
MAX_AMOUNT = {REPETITIONS: 2000.0, HOLD: 3600.0, DISTANCE: 100_000.0, ENERGY: 5000.0}
MAX_ITEMS = 12
MAX_VARIATIONS = 50
MAX_CONDITIONS = 20
MAX_TIME_S = 86_400.0  # a score is the clock (at most the cap) plus penalties
MAX_SCORE = 1_000_000.0
ON_WORK = frozenset({"first_set", "later_sets"})  # a condition that names its work item
ON_BLOCK = frozenset({"time", "score", "effort", "stopped_by"})
STOPPERS = frozenset({"local_muscle", "breathing", "strength", "skill"})
WINDOW_LIMITS = {
    "first_set": 3600.0, "later_sets": 3600.0, "time": MAX_TIME_S, "score": MAX_SCORE,
    "share_of_available": 100.0, "effort": 10.0, "stopped_by": 0.0,
}  # fmt: skip


def read_work(reader: Reader, value: object, at: str) -> tuple[WorkItem, ...]:
    """The work items of a block."""
    entries = reader.items(value, at, least=1, most=MAX_ITEMS)
    return tuple(read_item(reader, entry, f"{at}/{index}") for index, entry in enumerate(entries))


def read_item(reader: Reader, value: object, at: str) -> WorkItem:
    """One work item, with exactly one amount; null is as much as possible."""
    required = ("key", "movement", "as_written")
    fields = reader.mapping(value, at, required=required, optional=("variations", *UNITS))
    listed = reader.items(fields["variations"], f"{at}/variations", least=0, most=MAX_VARIATIONS)
    variations = tuple(reader.key(entry, f"{at}/variations/{index}") for index, entry in enumerate(listed))
    if len(set(variations)) < len(variations):
        reader.note(f"{at}/variations", "duplicate_variation", "Name every variation once.")
    amount, unit = _amount(reader, fields, at)
    return WorkItem(
        key=reader.key(fields["key"], f"{at}/key"),
        movement=reader.key(fields["movement"], f"{at}/movement"),
        amount=amount,
        as_written=_as_written(reader, fields["as_written"], f"{at}/as_written"),
        variations=variations,
        unit=unit,
    )


def _amount(reader: Reader, fields: Mapping[str, object], at: str) -> tuple[float | None, str]:
    given = [unit for unit in UNITS if fields[unit] is not MISSING]
    if len(given) != 1:
        if not given:
            reader.note(f"{at}/{REPETITIONS}", "missing_field", f"Give one of {', '.join(UNITS)}.")
        else:
            reader.note(at, "several_amounts", f"Give one of {', '.join(given)}, not all of them.")
        return 1.0, given[0] if given else REPETITIONS
    unit = given[0]
    value, pointer = fields[unit], f"{at}/{unit}"
    if value is None:
        return None, unit
    if unit == REPETITIONS:
        most = int(MAX_AMOUNT[REPETITIONS])
        return float(reader.integer(value, pointer, least=1, most=most)), unit
    return reader.number(value, pointer, least=0.0, most=MAX_AMOUNT[unit], above=True), unit


def _as_written(reader: Reader, value: object, at: str) -> AsWritten:
    fields = reader.mapping(value, at, required=("variation",), optional=tuple(SETTING_LIMITS))
    settings = {
        name: reader.optional_number(fields[name], f"{at}/{name}", least=0.0, most=limit)
        for name, limit in SETTING_LIMITS.items()
    }
    return AsWritten(reader.key(fields["variation"], f"{at}/variation"), **settings)


def read_aim(reader: Reader, value: object, at: str, work: frozenset[str]) -> Aim:
    """The conditions of the aim; `work` names the block's work items."""
    fields = reader.mapping(value, at, required=("conditions",))
    entries = reader.items(fields["conditions"], f"{at}/conditions", least=0, most=MAX_CONDITIONS)
    read = (_condition(reader, entry, f"{at}/conditions/{i}", work) for i, entry in enumerate(entries))
    return Aim(tuple(read))


def _condition(reader: Reader, value: object, at: str, work: frozenset[str]) -> Condition:
    fields = reader.mapping(value, at, required=("kind",), optional=("work", "lower", "upper", "by"))
    kind = reader.choice(fields["kind"], child(at, "kind"), WINDOW_LIMITS.keys())
    named = _condition_work(reader, fields["work"], child(at, "work"), kind, work)
    if kind == "stopped_by":
        if any(fields[side] not in (None, MISSING) for side in ("lower", "upper")):
            reader.note(at, "no_window", "Remove `lower` and `upper`: this condition says `by` what.")
        by = reader.choice(fields["by"], child(at, "by"), STOPPERS)
        if fields["by"] is MISSING:
            reader.note(child(at, "by"), "missing_field", f"Use one of: {', '.join(sorted(STOPPERS))}.")
        return Condition(kind, named, None, None, by or None)
    if fields["by"] not in (None, MISSING):
        reader.note(child(at, "by"), "unknown_field", "Remove `by`: only stopped_by has it.")
    limit = WINDOW_LIMITS.get(kind, MAX_TIME_S)
    lower, upper = (
        reader.optional_number(fields[side], child(at, side), least=0.0, most=limit)
        for side in ("lower", "upper")
    )
    if all(fields[side] is None or fields[side] is MISSING for side in ("lower", "upper")):
        reader.note(at, "window_open", "Give a lower or an upper bound, or both.")
    return Condition(kind, named, lower, upper)


def _condition_work(reader: Reader, value: object, at: str, kind: str, work: frozenset[str]) -> str | None:
    """A window on sets names its work item, one on the block none (silent when no item was read)."""
    named = None if value is MISSING else value
    if kind in ON_BLOCK and named is not None:
        reader.note(at, "work_not_used", f"Remove `work`: {kind} is a condition on the whole block.")
    elif not kind or not work or (kind not in ON_WORK and named is None):
        pass
    elif not isinstance(named, str) or named not in work:
        reader.note(at, "unknown_work", f"Name a work item of the block: {', '.join(sorted(work))}.")
    return named if isinstance(named, str) else None
