"""The revision document: from untrusted JSON to a frozen RevisionDoc, its hash, its contradictions.

Three questions, asked in this order: is the document well formed (`parse_revision`, all problems at once);
is it the same as another (`canonical_hash`); do its rules and its aim contradict each other
(`contradictions`, which a draft may have and a published revision may not).
"""

import hashlib
import json
from collections.abc import Mapping

from programming.calc.contradiction import contradictions
from programming.calc.reader import MISSING, DocumentError, Problem, Reader
from programming.calc.revision import (
    Aim,
    AsWritten,
    Block,
    BlockRules,
    BreakRule,
    Condition,
    EndRule,
    RevisionDoc,
    Texts,
    WorkItem,
)

__all__ = [
    "Aim", "AsWritten", "Block", "BlockRules", "BreakRule", "Condition", "DocumentError", "EndRule",
    "Problem", "RevisionDoc", "Texts", "WorkItem", "canonical_hash", "contradictions", "parse_revision",
]  # fmt: skip

QUALITIES = frozenset({
    "maximal_strength", "power", "local_muscular_endurance", "anaerobic_capacity", "aerobic_power",
    "aerobic_endurance", "skill", "mobility",
})  # fmt: skip
ORDERS = frozenset({"swap_on_break"})
BREAK_COUNTS = frozenset({"set_ended_early"})
PENALTIES = frozenset({"added"})
END_KINDS = frozenset({"work_done"})
SCORED = frozenset({"time"})
TIE_BREAKS = frozenset({"fewest_breaks", "none"})
TEXT_KEYS = ("why", "benefits", "how", "effort", "easier", "cautions")
SETTING_LIMITS = {"load_kg": 500.0, "assistance_kg": 500.0, "height_cm": 300.0}
ITEMS_OF_SWAP = 2

MAX_TITLE = 200
MAX_TEXT = 4000
MAX_VARIATIONS = 50
MAX_CONDITIONS = 20
MAX_REPETITIONS = 2000
MAX_PENALTY_S = 600.0
CAP_RANGE_S = (30.0, 14_400.0)
MAX_TIME_S = 86_400.0  # a score is the clock (at most the cap) plus penalties
WINDOW_LIMITS = {"first_set": 2000.0, "later_sets": 2000.0, "time": MAX_TIME_S}


def parse_revision(doc: Mapping[str, object]) -> RevisionDoc:
    """Validate a revision document.

    Raises
    ------
    DocumentError
        With every problem found, each with a JSON pointer, a code and what to do.
    """
    reader = Reader()
    fields = reader.mapping(doc, "", required=("title", "quality", "blocks"), optional=("texts",))
    title = reader.text(fields["title"], "/title", least=1, most=MAX_TITLE)
    quality = reader.choice(fields["quality"], "/quality", QUALITIES)
    texts = _texts(reader, fields["texts"])
    blocks = reader.items(fields["blocks"], "/blocks", least=1, most=1)
    parsed = tuple(_block(reader, block, f"/blocks/{index}") for index, block in enumerate(blocks))
    reader.finish()
    return RevisionDoc(title=title, texts=texts, quality=quality, blocks=parsed)


def _texts(reader: Reader, value: object) -> Texts:
    fields = reader.mapping(value, "/texts", required=(), optional=TEXT_KEYS)
    return Texts(**{name: reader.text(fields[name], f"/texts/{name}", most=MAX_TEXT) for name in TEXT_KEYS})


def _block(reader: Reader, value: object, at: str) -> Block:
    fields = reader.mapping(value, at, required=("key", "work", "rules", "aim"))
    work = _work(reader, fields["work"], f"{at}/work")
    return Block(
        key=reader.key(fields["key"], f"{at}/key"),
        work=work,
        rules=_rules(reader, fields["rules"], f"{at}/rules"),
        aim=_aim(reader, fields["aim"], f"{at}/aim", frozenset(item.key for item in work if item.key)),
    )


def _work(reader: Reader, value: object, at: str) -> tuple[WorkItem, ...]:
    entries = reader.items(value, at, least=ITEMS_OF_SWAP, most=ITEMS_OF_SWAP)
    items = tuple(_work_item(reader, entry, f"{at}/{index}") for index, entry in enumerate(entries))
    seen: set[str] = set()
    for index, item in enumerate(items):
        if item.key and item.key in seen:
            reader.note(f"{at}/{index}/key", "duplicate_key", "Give every work item of a block its own key.")
        seen.add(item.key)
    return items


def _work_item(reader: Reader, value: object, at: str) -> WorkItem:
    required = ("key", "movement", "repetitions", "as_written")
    fields = reader.mapping(value, at, required=required, optional=("variations",))
    listed = reader.items(fields["variations"], f"{at}/variations", least=0, most=MAX_VARIATIONS)
    variations = tuple(reader.key(entry, f"{at}/variations/{index}") for index, entry in enumerate(listed))
    if len(set(variations)) < len(variations):
        reader.note(f"{at}/variations", "duplicate_variation", "Name every variation once.")
    return WorkItem(
        key=reader.key(fields["key"], f"{at}/key"),
        movement=reader.key(fields["movement"], f"{at}/movement"),
        repetitions=reader.integer(fields["repetitions"], f"{at}/repetitions", least=1, most=MAX_REPETITIONS),
        as_written=_as_written(reader, fields["as_written"], f"{at}/as_written"),
        variations=variations,
    )


def _as_written(reader: Reader, value: object, at: str) -> AsWritten:
    fields = reader.mapping(value, at, required=("variation",), optional=tuple(SETTING_LIMITS))
    settings = {
        name: reader.optional_number(fields[name], f"{at}/{name}", least=0.0, most=limit)
        for name, limit in SETTING_LIMITS.items()
    }
    return AsWritten(reader.key(fields["variation"], f"{at}/variation"), **settings)


def _rules(reader: Reader, value: object, at: str) -> BlockRules:
    fields = reader.mapping(value, at, required=("order", "break", "end", "scored", "tie_break"))
    return BlockRules(
        order=reader.choice(fields["order"], f"{at}/order", ORDERS),
        break_rule=_break_rule(reader, fields["break"], f"{at}/break"),
        end=_end_rule(reader, fields["end"], f"{at}/end"),
        scored=reader.choice(fields["scored"], f"{at}/scored", SCORED),
        tie_break=reader.choice(fields["tie_break"], f"{at}/tie_break", TIE_BREAKS),
    )


def _break_rule(reader: Reader, value: object, at: str) -> BreakRule:
    fields = reader.mapping(value, at, required=("counts", "penalty_s", "penalty"))
    return BreakRule(
        counts=reader.choice(fields["counts"], f"{at}/counts", BREAK_COUNTS),
        penalty_s=reader.number(fields["penalty_s"], f"{at}/penalty_s", least=0.0, most=MAX_PENALTY_S),
        penalty=reader.choice(fields["penalty"], f"{at}/penalty", PENALTIES),
    )


def _end_rule(reader: Reader, value: object, at: str) -> EndRule:
    fields = reader.mapping(value, at, required=("kind",), optional=("cap_s",))
    cap = None
    if fields["cap_s"] is not None and fields["cap_s"] is not MISSING:
        cap = reader.number(fields["cap_s"], f"{at}/cap_s", least=CAP_RANGE_S[0], most=CAP_RANGE_S[1])
    return EndRule(kind=reader.choice(fields["kind"], f"{at}/kind", END_KINDS), cap_s=cap)


def _aim(reader: Reader, value: object, at: str, work: frozenset[str]) -> Aim:
    fields = reader.mapping(value, at, required=("conditions",))
    entries = reader.items(fields["conditions"], f"{at}/conditions", least=0, most=MAX_CONDITIONS)
    read = (_condition(reader, entry, f"{at}/conditions/{i}", work) for i, entry in enumerate(entries))
    return Aim(tuple(read))


def _condition(reader: Reader, value: object, at: str, work: frozenset[str]) -> Condition:
    fields = reader.mapping(value, at, required=("kind",), optional=("work", "lower", "upper"))
    kind = reader.choice(fields["kind"], f"{at}/kind", WINDOW_LIMITS.keys())
    named = _condition_work(reader, fields["work"], f"{at}/work", kind, work)
    limit = WINDOW_LIMITS.get(kind, MAX_TIME_S)
    lower, upper = (
        reader.optional_number(fields[side], f"{at}/{side}", least=0.0, most=limit)
        for side in ("lower", "upper")
    )
    if all(fields[side] is None or fields[side] is MISSING for side in ("lower", "upper")):
        reader.note(at, "window_open", "Give a lower or an upper bound, or both.")
    return Condition(kind, named, lower, upper)


def _condition_work(reader: Reader, value: object, at: str, kind: str, work: frozenset[str]) -> str | None:
    """A window on repetitions names its work item, a window on time none (silent when no item was read)."""
    named = None if value is MISSING else value
    if kind == "time" and named is not None:
        reader.note(at, "work_not_used", "Remove `work`: time is a condition on the whole block.")
    elif kind and kind != "time" and work and (not isinstance(named, str) or named not in work):
        reader.note(at, "unknown_work", f"Name a work item of the block: {', '.join(sorted(work))}.")
    return named if isinstance(named, str) else None


def canonical_hash(doc: Mapping[str, object]) -> str:
    """SHA-256 (hex) of the document's canonical JSON: keys sorted, no spaces, UTF-8, 30.0 written as 30.

    Two documents that JSON calls equal have the same hash, whatever the order of their keys.
    Raises ValueError on NaN and infinity, which JSON does not have.
    """
    text = json.dumps(_plain(doc), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _plain(value: object) -> object:
    if isinstance(value, Mapping):
        return {str(key): _plain(member) for key, member in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(member) for member in value]
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return value
