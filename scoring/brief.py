"""The brief: what an athlete reads before a session, the coach's texts with the athlete's own numbers. No writes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.utils.html import format_html, format_html_join

from programming.calc.revision import Texts
from programming.plans import SessionPlan, session_plan
from scoring.brief_words import (
    check_line,
    expected_line,
    hold_lines,
    rest_line,
    sets_line,
    stop_line,
    version_line,
    warm_up_line,
    why_not_lines,
)
from scoring.models import Prescription
from scoring.names import Names, names_of
from scoring.stored_content import as_current

TITLES: Final[Mapping[str, str]] = {
    "why": "Why this session",
    "version": "Your version",
    "not_today": "Nothing is prescribed",
    "warm_up": "Warm-up",
    "check_set": "First a check set",
    "sets": "How to break it up",
    "rest": "How long to rest",
    "effort": "What should stop you, and how hard it feels",
    "expect": "What to expect",
    "easier": "If it has to be easier",
    "care": "Take care",
}


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
    """Of one athlete for one session."""

    prescription: Prescription
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


def brief_of(given: Prescription) -> Brief:
    """From the prescription as it stands (three queries)."""
    plan = session_plan(given.session_id)
    content = as_current(given.content)
    return Brief(given, str(content["title"]), tuple(_parts(plan, content)))


def _parts(plan: SessionPlan, content: Mapping[str, Any]) -> Iterator[Part]:
    names, texts = names_of(plan), plan.doc.texts
    yield from _part("why", [texts.why, texts.benefits])
    if not content["feasible"]:
        hold = content["hold"]
        told = why_not_lines(content, names) if hold is None else hold_lines(hold)
        yield from _part("not_today", told)
        yield from _part("care", content["cautions"])
        return
    yield from _numbers(content, names, texts)
    yield from _part("easier", [texts.easier])
    yield from _part("care", [*content["cautions"], texts.cautions])


def _numbers(content: Mapping[str, Any], names: Names, texts: Texts) -> Iterator[Part]:
    """What is the athlete's own, each part with what the coach says of it."""
    rounds = {one["block"]: one["rounds"] for one in content["blocks"]}
    yield from _part(
        "version", [version_line(one, names, rounds.get(one["block"])) for one in content["work"]]
    )
    yield from _part("warm_up", [warm_up_line(one, names) for one in content["warm_up"]])
    yield from _part("check_set", [check_line(one, names) for one in content["check_sets"]])
    of_work = [(one, [s for s in content["plan"] if s["work"] == one["work"]]) for one in content["work"]]
    planned = [(one, sets) for one, sets in of_work if sets]
    yield from _part("sets", [texts.how, *(sets_line(one, sets, names) for one, sets in planned)])
    yield from _part("rest", [rest_line(one, sets, names) for one, sets in planned if len(sets) > 1])
    stops = [stop_line(one, names) for one in content["stopped_by"]]
    yield from _part("effort", [*stops, texts.effort])
    several = len(content["expected_by_block"]) > 1
    yield from _part(
        "expect",
        [
            expected_line(one, names.block(key) if several else "")
            for key, one in content["expected_by_block"].items()
            if one is not None
        ],
    )


def _part(key: str, lines: Sequence[str]) -> Iterator[Part]:
    """Nothing where there is nothing to say."""
    told = tuple(line for line in lines if line)
    if told:
        yield Part(key, told)
