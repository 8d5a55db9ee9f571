"""The brief: what an athlete reads before a session, the coach's texts with the athlete's own numbers. No writes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.utils.html import format_html, format_html_join

from programming.calc.revision import Block, Texts
from programming.plans import SessionPlan, session_plan
from scoring.brief_pace import pace_lines
from scoring.brief_rounds import rounds_of
from scoring.brief_rules import run_line
from scoring.brief_words import (
    FITTED,
    WHICH_HOLDS,
    amount_of,
    attempt_line,
    check_line,
    expected_line,
    hold_lines,
    left_out_lines,
    overridden_lines,
    rest_lines,
    sets_line,
    stop_line,
    version_line,
    warm_up_line,
    why_not_lines,
)
from scoring.models import Prescription
from scoring.names import Names, names_of
from scoring.own_version import own_block
from scoring.stored_content import as_current

NEWER: Final = "There is a newer version of this; read that one."
TITLES: Final[Mapping[str, str]] = {
    "superseded": "Not the latest",
    "why": "Why this session",
    "version": "Your version",
    "run": "How it runs",
    "coach": "What your coach decided",
    "not_today": "Nothing is prescribed",
    "left_out": "What is left out",
    "warm_up": "Warm-up",
    "check_set": "First a check set",
    "sets": "How to break it up",
    "rest": "How long to rest",
    "pace": "How to pace it",
    "effort": "What will probably stop you, and how hard it feels",
    "expect": "What to expect",
    "easier": "If it has to be easier",
    "care": "Take care",
}

OF_A_BLOCK: Final = (
    *("work", "closest", "plan", "attempts", "warm_up", "check_sets", "stopped_by", "other_pacings"),
    *("reasons", "ruled_out"),
)


@dataclass(frozen=True)
class Part:
    """A part of the brief; its key is one of TITLES."""

    key: str
    lines: tuple[str, ...]

    @property
    def title(self) -> str:
        return TITLES[self.key]


@dataclass(frozen=True)
class Brief:
    """Of one athlete for one session; superseded_by: the prescription that holds, where this one does no more."""

    prescription: Prescription
    superseded_by: UUID | None
    title: str
    parts: tuple[Part, ...]

    @property
    def text(self) -> str:
        """To be read aloud, or printed."""
        told = "\n\n".join("\n".join([one.title, *(f"  {line}" for line in one.lines)]) for one in self.parts)
        return f"{self.title}\n\n{told}\n"

    @property
    def html(self) -> str:
        """A fragment without styles or scripts; every text is escaped."""
        sections = format_html_join(
            "",
            '<section data-part="{}"><h3>{}</h3>{}</section>',
            ((one.key, one.title, _paragraphs(one.lines)) for one in self.parts),
        )
        return str(format_html("<article><h2>{}</h2>{}</article>", self.title, sections))


def _paragraphs(lines: Sequence[str]) -> str:
    return format_html_join("", "<p>{}</p>", ((line,) for line in lines))


def brief_of(given: Prescription, *, superseded_by: UUID | None) -> Brief:
    """From the prescription as it stands (three queries)."""
    plan = session_plan(given.session_id)
    content = as_current(given.content)
    parts = _parts(plan, content) if superseded_by is None else _superseded(plan.doc.texts)
    return Brief(given, superseded_by, str(content["title"]), tuple(parts))


def _superseded(texts: Texts) -> Iterator[Part]:
    """No numbers: what holds by now may be less, or nothing."""
    yield from _part("superseded", [NEWER])
    yield from _why(texts)


def _parts(plan: SessionPlan, content: Mapping[str, Any]) -> Iterator[Part]:
    names, texts = names_of(plan), plan.doc.texts
    shut = [one["block"] for one in content["blocks"] if not one["feasible"]]
    yield from _why(texts)
    yield from _part("coach", overridden_lines(content, names))
    if content["hold"] is not None:
        yield from _part("not_today", hold_lines(content["hold"]))
        yield from _part("care", content["cautions"])
        return
    if not content["feasible"] and len(shut) == len(content["blocks"]):
        yield from _part("not_today", why_not_lines(content, names))
        yield from _part("care", content["cautions"])
        return
    if shut:
        yield from _part("left_out", left_out_lines(_narrowed(content, shut), shut, names))
    rest = [one["block"] for one in content["blocks"] if one["feasible"]]
    shown = [own_block(block, content) for block in plan.doc.blocks if block.key in rest]
    several = len(plan.doc.blocks) > 1
    yield from _part("run", [run_line(block, names.block(block.key) if several else "") for block in shown])
    yield from _numbers(_narrowed(content, rest) if shut else content, shown, names, texts)
    yield from _part("easier", [texts.easier])
    yield from _part("care", [*content["cautions"], texts.cautions])


def _why(texts: Texts) -> Iterator[Part]:
    yield from _part("why", [texts.why, texts.benefits])


def _narrowed(content: Mapping[str, Any], blocks: Sequence[str]) -> dict[str, Any]:
    """What is said of these blocks alone."""
    lists = {name: [one for one in content[name] if one["block"] in blocks] for name in OF_A_BLOCK}
    by_block = content["expected_by_block"]
    return {
        **content,
        **lists,
        "expected_by_block": {key: by_block[key] for key in by_block if key in blocks},
    }


def _numbers(
    content: Mapping[str, Any], blocks: Sequence[Block], names: Names, texts: Texts
) -> Iterator[Part]:
    """What is the athlete's own, each part with what the coach says of it."""
    yield from _part("version", list(_versions(content, names)))
    yield from _part("warm_up", [warm_up_line(one, names) for one in content["warm_up"]])
    yield from _part("check_set", [check_line(one, names) for one in content["check_sets"]])
    of_work = [(one, [s for s in content["plan"] if s["work"] == one["work"]]) for one in content["work"]]
    planned = [(one, sets) for one, sets in of_work if sets]
    words = [texts.how, WHICH_HOLDS] if texts.how and planned else [texts.how]
    yield from _part("sets", [*words, *(_sets(one, sets, blocks, names) for one, sets in planned)])
    yield from _part("rest", rest_lines(content["plan"], names))
    yield from _part("pace", pace_lines(content["other_pacings"], names))
    stops = [stop_line(one, names) for one in content["stopped_by"]]
    yield from _part("effort", [*stops, texts.effort])
    yield from _part("expect", list(_expectations(content, names)))


def _sets(
    work: Mapping[str, Any], sets: Sequence[Mapping[str, Any]], blocks: Sequence[Block], names: Names
) -> str:
    """Round by round where the block has several."""
    block = next((one for one in blocks if one.key == work["block"]), None)
    amounts = [amount_of(one) or 0.0 for one in sets]
    return sets_line(work, sets, names, None if block is None else rounds_of(block, work["work"], amounts))


def _versions(content: Mapping[str, Any], names: Names) -> Iterator[str]:
    """A line for each work item; where its loads rise, one for each attempt, as the work has the opener's alone."""
    rounds = {one["block"]: one["rounds"] for one in content["blocks"]}
    for work in content["work"]:
        attempts = [one for one in content["attempts"] if one["work"] == work["work"]]
        for one in attempts:
            yield attempt_line(one, names, own=not work["amount_as_written"])
        if not attempts:
            yield version_line(work, names, rounds.get(work["block"]))


def _expectations(content: Mapping[str, Any], names: Names) -> Iterator[str]:
    """In the order of the session, as stored objects have none; a block that it has no more comes last. Where sets
    are planned, whom the range is of; attempts are done as they are told.
    """
    by_block = content["expected_by_block"]
    for key in [*names.blocks, *(key for key in by_block if key not in names.blocks)]:
        if by_block.get(key) is not None:
            yield expected_line(by_block[key], names, key)
    attempted = {one["work"] for one in content["attempts"]}
    if any(one["work"] not in attempted for one in content["plan"]):
        yield FITTED


def _part(key: str, lines: Sequence[str]) -> Iterator[Part]:
    """Nothing where there is nothing to say."""
    told = tuple(line for line in lines if line)
    if told:
        yield Part(key, told)
