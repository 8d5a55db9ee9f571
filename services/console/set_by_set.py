"""A result set by set: the window of the aim, what was foretold before, and what came, each where it was known.

A first set is held against what is possible in one go when rested, which is a strip of its own; of later sets the
forecast tells how small the smallest and how large the largest will be, and the plan how large each one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from programming.calc.difference_words import plain, window_said
from programming.calc.revision import REPETITIONS, Block, Condition, WorkItem
from scoring.brief_words import amount_of, clock
from scoring.names import Names
from scoring.words import UNITS, units_said
from services.console.aim import timed_window
from services.console.results import STATES
from services.console.words import DASH

Span = tuple[float | None, float | None]

IN_ONE_GO: Final = "In one go, rested"
WHOLE: Final = {
    "time": "The time",
    "score": "The score",
    "effort": "How hard it felt",
    "share_of_available": "Share of what was possible, at each set",
}
"""Conditions on more than one set, each a panel of its own."""


@dataclass(frozen=True)
class Strip:
    """One line of the picture; whatever is None was not asked, foretold, planned or seen.

    window: of the aim, an open side None. foretold: low, middle and high of what eight of ten days lie between; no
    middle: None. shows: between which values what was possible lies, as the result shows it; open above: None.
    """

    label: str
    aim: str = ""
    window: Span | None = None
    foretold: tuple[float, float | None, float] | None = None
    planned: float | None = None
    came: float | None = None
    shows: Span | None = None
    state: str = ""


@dataclass(frozen=True)
class Panel:
    """Strips in one unit; timed: seconds that are read as minutes and seconds."""

    title: str
    unit: str
    timed: bool
    strips: Sequence[Strip]

    def said(self, value: float | None) -> str:
        """A value of the panel, without its unit."""
        if value is None:
            return ""
        if self.timed:
            return clock(value)
        return f"{value:.0f}" if self.unit == UNITS[REPETITIONS] else f"{round(value, 1):g}"


@dataclass(frozen=True)
class Told:
    """What the interface answers of one block: expected and forecast None where there was no prescription."""

    block: Block
    names: Names
    plan: Sequence[Mapping[str, Any]]
    expected: Mapping[str, Any] | None
    forecast: Mapping[str, Any] | None
    sets: Sequence[Mapping[str, Any]]
    score: Mapping[str, Any]
    effort: float | None

    def panels(self) -> list[Panel]:
        """Work by work, then what is asked of the block as a whole; only those in which there is something."""
        works = [self._work(item) for item in self.block.items]
        return [one for one in [*works, *self._whole()] if one.strips]

    def outcome(self, index: int) -> Mapping[str, Any]:
        """How the condition at this place of the aim was held against the result; empty where it was not."""
        return next((one for one in self.score["aim"] if one["index"] == index), {})

    def _condition(self, kind: str, work: str | None) -> tuple[int, Condition] | None:
        """The first of its kind, with its place in the aim."""
        listed = enumerate(self.block.aim.conditions)
        return next(((at, one) for at, one in listed if (one.kind, one.work) == (kind, work)), None)

    def _work(self, item: WorkItem) -> Panel:
        strips = [*self._first(item), *self._sets(item)]
        return Panel(self.names.work(item.key), units_said(item.unit), timed=False, strips=strips)

    def _first(self, item: WorkItem) -> Iterator[Strip]:
        """What is possible in one go, where the aim asks for it or the forecast tells it."""
        found = self._condition("first_set", item.key)
        levels = None if self.expected is None else self.expected["first_set"].get(item.key)
        if found is None and levels is None:
            return
        at, one = found or (-1, None)
        outcome = self.outcome(at)
        yield Strip(
            IN_ONE_GO,
            aim="" if one is None else window_said(one),
            window=None if one is None else (one.lower, one.upper),
            foretold=_levels(levels),
            shows=_shows(outcome),
            state=_state(outcome),
        )

    def _sets(self, item: WorkItem) -> Iterator[Strip]:
        """Set after set, as many as were planned or done; the window of later sets holds from the second on."""
        planned = [amount_of(one) for one in self.plan if one["work"] == item.key]
        done = [amount_of(one) for one in self.sets if one["work"] == item.key]
        found, spread = self._condition("later_sets", item.key), self._later(item.key)
        for place in range(max(len(planned), len(done))):
            one = found[1] if found and place else None
            yield Strip(
                f"Set {place + 1}",
                aim="" if one is None else window_said(one),
                window=None if one is None else (one.lower, one.upper),
                foretold=spread if place else None,
                planned=planned[place] if place < len(planned) else None,
                came=done[place] if place < len(done) else None,
                state=_state(self.outcome(found[0])) if found and place == 1 else "",
            )

    def _later(self, work: str) -> tuple[float, float | None, float] | None:
        """From the smallest of later sets to the largest, on eight of ten days each."""
        listed = [] if self.forecast is None else self.forecast["work"]
        one = next((row for row in listed if row["work"] == work), None)
        if one is None or one["smallest_later"] is None or one["largest_later"] is None:
            return None
        return one["smallest_later"]["p10"], None, one["largest_later"]["p90"]

    def _whole(self) -> Iterator[Panel]:
        asked = list(enumerate(self.block.aim.conditions))
        told = {one.kind for _, one in asked}
        for at, one in asked:
            if one.kind in WHOLE:
                yield self._of_block(one.kind, at, one)
        scored = "time" if self.block.rules.scored == "time" else "score"
        if self.block.rules.scored != "none" and scored not in told:
            yield self._of_block(scored, -1, None)

    def _of_block(self, kind: str, at: int, one: Condition | None) -> Panel:
        unit = self._unit(kind)
        timed = unit == "s"
        outcome = self.outcome(at)
        strip = Strip(
            "In all",
            aim="" if one is None else timed_window(one) if timed else window_said(one),
            window=None if one is None else (one.lower, one.upper),
            foretold=self._expected(kind),
            came=self._came(kind),
            shows=_shows(outcome),
            state=_state(outcome),
        )
        known = (strip.window, strip.foretold, strip.came)
        work = "" if one is None or one.work is None else f", {self.names.work(one.work)}"
        said = "minutes and seconds" if timed else unit
        return Panel(
            f"{WHOLE[kind]}{work}", said, timed, [strip] if any(v is not None for v in known) else []
        )

    def _unit(self, kind: str) -> str:
        if kind == "time":
            return "s"
        if kind == "score":
            return units_said(self.score["unit"] or (self.expected or {}).get("unit") or "")
        return "of 10" if kind == "effort" else "percent"

    def _expected(self, kind: str) -> tuple[float, float | None, float] | None:
        if self.expected is None or kind not in ("time", "score"):
            return None
        if kind == "score" or self.block.rules.scored == "time":
            return _levels(self.expected["score"])
        return _levels(self.expected["elapsed_s"])

    def _came(self, kind: str) -> float | None:
        if kind == "effort":
            return self.effort
        if kind == "share_of_available":
            return None
        if kind == "time" and self.block.rules.scored != "time":
            elapsed: float | None = self.score["elapsed_s"]
            return elapsed
        value: float | None = self.score["value"]
        return value


def _levels(levels: Mapping[str, float | None] | None) -> tuple[float, float | None, float] | None:
    """(low, middle, high); None where one of them is not told."""
    if levels is None:
        return None
    low, middle, high = (levels.get(level) for level in ("p10", "p50", "p90"))
    return None if low is None or middle is None or high is None else (low, middle, high)


def _shows(outcome: Mapping[str, Any]) -> Span | None:
    if not outcome or (outcome["low"] is None and outcome["high"] is None):
        return None
    return outcome["low"], outcome["high"]


def _state(outcome: Mapping[str, Any]) -> str:
    return STATES[outcome["state"]] if outcome else ""


@dataclass(frozen=True)
class Line:
    """A strip in the table behind the picture."""

    panel: str
    label: str
    aim: str
    foretold: str
    planned: str
    came: str
    shows: str
    state: str


def lines_of(panels: Sequence[Panel]) -> list[Line]:
    return [_line(panel, strip) for panel in panels for strip in panel.strips]


def _line(panel: Panel, strip: Strip) -> Line:
    return Line(
        panel=f"{panel.title}, {panel.unit}",
        label=strip.label,
        aim=strip.aim or DASH,
        foretold=foretold_said(panel, strip) or DASH,
        planned=panel.said(strip.planned) or DASH,
        came=panel.said(strip.came) or DASH,
        shows=shows_said(panel, strip) or DASH,
        state=strip.state or DASH,
    )


def foretold_said(panel: Panel, strip: Strip) -> str:
    """ "16 (14 to 18)", or "2 to 8" without a middle."""
    if strip.foretold is None:
        return ""
    low, middle, high = strip.foretold
    between = f"{panel.said(low)} to {panel.said(high)}"
    return between if middle is None else f"{panel.said(middle)} ({between})"


def shows_said(panel: Panel, strip: Strip) -> str:
    """What the result shows to have been possible; "" where that is what came."""
    if strip.shows is None or (strip.shows[0] == strip.shows[1] == strip.came):
        return ""
    low, high = strip.shows
    if low is None:
        return f"at most {panel.said(high)}"
    if high is None:
        return f"at least {panel.said(low)}"
    return panel.said(low) if low == high else f"{panel.said(low)} to {panel.said(high)}"


def told_in_words(panels: Sequence[Panel]) -> str:
    """The picture in sentences, for whoever does not see it."""
    parts = []
    for panel in panels:
        for strip in panel.strips:
            told = {
                "aim": strip.aim,
                "foretold": foretold_said(panel, strip),
                "planned": panel.said(strip.planned),
                "came": panel.said(strip.came),
                "shows": shows_said(panel, strip),
            }
            said = ", ".join(f"{word} {value}" for word, value in told.items() if value)
            parts.append(f"{panel.title}, {plain(strip.label).lower()}: {said or 'nothing known'}.")
    return " ".join(parts)
