"""The revision document: from untrusted JSON to a frozen RevisionDoc, its hash, its contradictions.

Three questions, asked in this order: is the document well formed (`parse_revision`, all problems at once);
is it the same as another (`canonical_hash`); do its rules and its aim contradict each other
(`contradictions`, which a draft may have and a published revision may not).
"""

import hashlib
import json
from collections.abc import Iterator, Mapping
from typing import Any

from programming.calc.contradiction import contradictions
from programming.calc.document_rules import read_rules
from programming.calc.document_work import read_aim, read_work
from programming.calc.reader import MISSING, DocumentError, Problem, Reader, child
from programming.calc.revision import (
    Aim,
    AsWritten,
    Block,
    BlockRules,
    BreakRule,
    Condition,
    EndRule,
    Overall,
    PointTable,
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
TEXT_KEYS = ("why", "benefits", "how", "effort", "easier", "cautions")
OVERALL = frozenset({"block", "places", "points"})

MAX_TITLE = 200
MAX_TEXT = 4000
MAX_BLOCKS = 8
POINT_LIMITS = {"a": 10_000.0, "b": 1_000_000.0, "c": 10.0}


def parse_revision(doc: Mapping[str, object]) -> RevisionDoc:
    """Validate a revision document.

    Raises
    ------
    DocumentError
        With every problem found, each with a JSON pointer, a code and what to do.
    """
    reader = Reader()
    required, optional = ("title", "quality", "blocks"), ("texts", "overall")
    fields = reader.mapping(doc, "", required=required, optional=optional)
    title = reader.text(fields["title"], "/title", least=1, most=MAX_TITLE)
    quality = reader.choice(fields["quality"], "/quality", QUALITIES)
    texts = _texts(reader, fields["texts"])
    blocks = reader.items(fields["blocks"], "/blocks", least=1, most=MAX_BLOCKS)
    parsed = tuple(_block(reader, block, f"/blocks/{index}") for index, block in enumerate(blocks))
    _distinct_keys(reader, parsed)
    overall = _overall(reader, fields["overall"], frozenset(block.key for block in parsed if block.key))
    reader.finish()
    return RevisionDoc(title=title, texts=texts, quality=quality, blocks=parsed, overall=overall)


def _texts(reader: Reader, value: object) -> Texts:
    fields = reader.mapping(value, "/texts", required=(), optional=TEXT_KEYS)
    return Texts(**{name: reader.text(fields[name], f"/texts/{name}", most=MAX_TEXT) for name in TEXT_KEYS})


def _block(reader: Reader, value: object, at: str) -> Block:
    fields = reader.mapping(value, at, required=("key", "work", "rules", "aim"))
    work = read_work(reader, fields["work"], child(at, "work"))
    keys = frozenset(item.key for item in work if item.key)
    return Block(
        key=reader.key(fields["key"], child(at, "key")),
        work=work,
        rules=read_rules(reader, fields["rules"], child(at, "rules")),
        aim=read_aim(reader, fields["aim"], child(at, "aim"), keys),
    )


def _distinct_keys(reader: Reader, blocks: tuple[Block, ...]) -> None:
    """A logged set names its work item alone: so no two items of a revision share a key, nor two blocks."""
    seen: set[str] = set()
    blocks_seen: set[str] = set()
    for number, block in enumerate(blocks):
        if block.key and block.key in blocks_seen:
            reader.note(f"/blocks/{number}/key", "duplicate_key", "Give every block its own key.")
        blocks_seen.add(block.key)
        for pointer, key in _keys(block, f"/blocks/{number}"):
            if key and key in seen:
                reader.note(
                    f"{pointer}/key", "duplicate_key", "Give every work item of the session its own key."
                )
            seen.add(key)


def _keys(block: Block, at: str) -> Iterator[tuple[str, str]]:
    for index, item in enumerate(block.work):
        yield child(at, "work", index), item.key
    if block.rules.break_rule.penalty_work is not None:
        yield child(at, "rules", "break", "penalty_work"), block.rules.break_rule.penalty_work.key


def _overall(reader: Reader, value: object, blocks: frozenset[str]) -> Overall:
    if value is None or value is MISSING:
        return Overall("block")
    fields = reader.mapping(value, "/overall", required=("by",), optional=("block", "tables"))
    by = reader.choice(fields["by"], "/overall/by", OVERALL)
    block = None
    if fields["block"] not in (None, MISSING):
        block = reader.choice(fields["block"], "/overall/block", blocks)
    tables = _tables(reader, fields["tables"], blocks)
    if by == "points" and not tables:
        reader.note("/overall/tables", "missing_field", "Give a point table for each block that counts.")
    return Overall(by, block or None, tables)


def _tables(reader: Reader, value: object, blocks: frozenset[str]) -> tuple[tuple[str, PointTable], ...]:
    if value is None or value is MISSING:
        return ()
    fields = reader.mapping(value, "/overall/tables", required=(), optional=sorted(blocks))
    found = []
    for key in sorted(blocks):
        if fields[key] is not MISSING:
            at = f"/overall/tables/{key}"
            table = reader.mapping(fields[key], at, required=tuple(POINT_LIMITS))
            numbers = {
                name: reader.number(table[name], f"{at}/{name}", least=0.0, most=most)
                for name, most in POINT_LIMITS.items()
            }
            found.append((key, PointTable(**numbers)))
    return tuple(found)


def canonical_hash(doc: Mapping[str, object]) -> str:
    """SHA-256 (hex) of the document's canonical JSON: keys sorted, no spaces, UTF-8, 30.0 written as 30.

    Two documents that JSON calls equal have the same hash, whatever the order of their keys.
    Raises ValueError on NaN and infinity, which JSON does not have.
    """
    text = json.dumps(_plain(doc), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _plain(value: Any) -> object:
    kind = type(value)
    if kind is str or kind is int or value is None or kind is bool:  # most of them
        return value
    if kind is float:
        return int(value) if value.is_integer() else value
    if kind is dict:
        return {str(key): _plain(member) for key, member in value.items()}
    if kind is list:
        return [_plain(member) for member in value]
    return _plain_of_others(value)


def _plain_of_others(value: object) -> object:
    """What is of a type derived from those of JSON, or in place of one."""
    if isinstance(value, (str, int)):
        return value
    if isinstance(value, Mapping):
        return {str(key): _plain(member) for key, member in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(member) for member in value]
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return value
