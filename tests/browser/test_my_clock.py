"""The clock of the athlete's page as modules in a real browser: what it shows at a moment, and what it counts.

What a block's clock shows follows from its rules and is worked out by hand here; what it counts is held against logs
scored by hand, and against the service's own replay of random logs, right and wrong ones.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Page

from scoring.calc.attempt import SetEntry, SetLog
from scoring.calc.replay import play_log
from scoring.names import Names
from services.console.my_clock_rules import clock_rules
from tests.browser.chromium import launched
from tests.browser.my_phone import serving
from tests.scoring.calc.rule_blocks import block_of, item
from tests.scoring.calc.test_hand_scored import log_of

EARLY = {"counts": "set_ended_early", "penalty_s": 15}
THREE = {"every_s": 60, "count": 3}
BLOCKS = {
    "in_sequence": block_of(("a", 21), ("b", 15), scored="time", breaks=EARLY),
    "rounds": block_of(("a", 10), ("b", 5), scored="time", order="rounds", rounds=3, breaks=EARLY),
    "one_item": block_of(("a", 10), scored="time", order="rounds", rounds=4, breaks=EARLY),
    "amrap": block_of(
        ("a", 10), ("b", 5), scored="rounds", order="rounds", rounds=None, end=("fixed_time", 600)
    ),
    "swap": block_of(("a", 30), ("b", 20), scored="time", order="swap_on_break", breaks=EARLY),
    "served_rest": block_of(
        ("a", 30), ("b", 20), scored="time", order="swap_on_break", breaks={**EARLY, "penalty": "served_rest"}
    ),
    "served_work": block_of(
        ("a", 30),
        scored="time",
        breaks={"counts": "set_ended_early", "penalty": "served_work", "penalty_work": item("p", 5)},
    ),
    "pauses": block_of(
        ("a", 20), ("b", 20), scored="time", breaks={"counts": "rest_longer_than", "rest_over_s": 10}
    ),
    "judged": block_of(("a", 20), ("b", 20), scored="time", breaks={"counts": "no_rep", "penalty_s": 5}),
    "ladder": block_of(
        ("a", 1), ("b", 2), scored="time", order="ladder", ladder={"amounts": [3, 2, 1]}, breaks=EARLY
    ),
    "intervals": block_of(
        ("a", 10),
        ("b", 5),
        scored="intervals",
        order="intervals",
        intervals=THREE,
        breaks={"counts": "missed_interval"},
    ),
    "in_turn": block_of(
        ("a", 10),
        ("b", 5),
        scored="intervals",
        order="intervals",
        intervals={**THREE, "count": 4, "in_turn": True},
        breaks={"counts": "missed_interval"},
    ),
}


@pytest.fixture(scope="module")
def page(django_db_setup: None) -> Iterator[Page]:
    """A page of the site, whose policy lets its own modules in and nothing else."""
    with serving() as site, launched() as chromium:
        page = chromium.new_page()
        page.goto(f"{site.url}/sign-in")
        page.evaluate(
            "async () => { window.clock = await import('/static/console/my_clock.js');"
            " window.rules = await import('/static/console/my_rules.js'); }"
        )
        yield page


def rules(name: str, **changes: Any) -> dict[str, Any]:
    return {**clock_rules(BLOCKS[name], Names(works={"a": "Row", "b": "Squat", "p": "Jump"})), **changes}


def sets_of(log: SetLog) -> list[dict[str, Any]]:
    return [
        {
            "work": one.work,
            "amount": one.amount,
            "rest": one.rest_before_s,
            "ended": one.ended_by,
            "interval": one.interval,
        }
        for one in log.sets
    ]


def tally(page: Page, name: str, log: SetLog, up_to: int | None = None) -> dict[str, Any]:
    told: dict[str, Any] = page.evaluate(
        "([rules, sets, upTo]) => window.rules.tally(rules, sets, upTo)", [rules(name), sets_of(log), up_to]
    )
    return told


@pytest.mark.parametrize(
    ("name", "changes", "elapsed", "main", "line"),
    [
        # For time it counts up, and says what is left to the cap.
        ("in_sequence", {}, 0.0, "0:00", "on the clock"),
        ("in_sequence", {}, 3725.9, "62:05", "on the clock"),
        ("in_sequence", {"limit_s": 900}, 61.0, "1:01", "on the clock; 13:59 to the cap"),
        ("in_sequence", {"limit_s": 900}, 900.0, "15:00", "The time cap is reached. Stop, and note what you have."),
        # In a fixed time it counts down, and shows 0:01 until the last moment.
        ("amrap", {}, 0.0, "10:00", "left of 10:00"),
        ("amrap", {}, 599.5, "0:01", "left of 10:00"),
        ("amrap", {}, 600.0, "10:00", "Time is up. Stop, and note what you have."),
        # Of intervals it counts down to the next one.
        ("intervals", {}, 0.0, "1:00", "Interval 1 of 3; the next starts at 1:00"),
        ("intervals", {}, 75.0, "0:45", "Interval 2 of 3; the next starts at 2:00"),
        ("intervals", {}, 125.0, "0:55", "Interval 3 of 3; it ends at 3:00"),
        ("intervals", {}, 180.0, "3:00", "The last interval is over."),
        ("intervals", {"work_s": 40}, 75.0, "0:25", "Interval 2 of 3: work; the next starts at 2:00"),
        ("intervals", {"work_s": 40}, 100.0, "0:20", "Interval 2 of 3: rest; the next starts at 2:00"),
        ("intervals", {"repeats": None, "limit_s": 150}, 130.0, "0:20", "Interval 3; it ends at 2:30"),
        ("in_turn", {}, 61.0, "0:59", "Interval 2 of 4, Squat; the next starts at 2:00"),
    ],
)  # fmt: skip
def test_the_clock_knows_the_rules(
    page: Page, name: str, changes: dict[str, Any], elapsed: float, main: str, line: str
) -> None:
    """By hand from the rules of the block."""
    shown = page.evaluate("([rules, s]) => window.clock.face(rules, s)", [rules(name, **changes), elapsed])
    assert (shown["main"], shown["line"]) == (main, line)


@pytest.mark.parametrize(
    ("passed", "planned", "owed", "line", "over"),
    [
        (10.2, 45, 0, "Rest: 0:35 left of 0:45", False),
        (45.0, 45, 0, "Rest is over: 0:00 ago. Go.", True),
        (53.0, 45, 0, "Rest is over: 0:08 ago. Go.", True),
        (10.0, 45, 60, "Rest for the break: 0:50 left of 1:00", False),
        (70.0, None, 0, "Rest: 1:10", False),
    ],
)
def test_a_rest_is_counted_down(
    page: Page, passed: float, planned: int | None, owed: int, line: str, over: bool
) -> None:
    """To what is planned before the next set, or to what a break costs where that is more."""
    shown = page.evaluate("(told) => window.clock.restFace(...told)", [passed, planned, owed])
    assert (shown["line"], shown["over"]) == (line, over)


@pytest.mark.parametrize(
    ("name", "log", "breaks", "line"),
    [
        ("in_sequence", "a12 a9 b10 b5", 2, "2 breaks: 0:30 is added to the clock."),
        ("rounds", "a10 b5 a6 a4 b5 a10 b5", 1, "1 break: 0:15 is added to the clock."),
        ("rounds", "a10 b5", 0, ""),
        ("swap", "a12 b20 a8>", 1, "1 break: 0:15 is added to the clock."),
        ("served_rest", "a12", 1, "1 break so far."),
        ("served_work", "a12", 1, "1 break. Before you go on: 5 of Jump."),
        ("served_work", "a12 p5 a18", 1, "1 break so far."),
        ("pauses", "a12 a8/11 b20/30", 1, "1 break so far."),
        ("judged", "a19 a1! b20", 1, "1 break: 0:05 is added to the clock."),
        ("ladder", "a3 b6 a2 b3 b1", 1, "1 break: 0:15 is added to the clock."),
    ],
)
def test_breaks_are_counted_as_the_rules_say(page: Page, name: str, log: str, breaks: int, line: str) -> None:
    """By hand: what the break rule counts, and what it costs."""
    told = tally(page, name, log_of(log))
    said = page.evaluate("([rules, told]) => window.clock.breaksLine(rules, told)", [rules(name), told])
    assert (told["breaks"], said) == (breaks, line)


def test_rest_that_a_break_costs_is_owed_until_the_next_set(page: Page) -> None:
    """Served, so that nothing is added."""
    told = tally(page, "served_rest", log_of("a12"))
    assert (told["owedRest"], told["addedSeconds"], told["turn"]) == (15, 0, "b")
    assert tally(page, "served_rest", log_of("a12 b20"))["owedRest"] == 0


def test_an_interval_that_passes_with_work_left_is_missed(page: Page) -> None:
    """In the third minute with five squats of the second undone: one miss."""
    told = tally(page, "intervals", log_of("a10@1 b5@1 a10@2"), up_to=2)
    assert (told["misses"], told["breaks"], told["round"]) == (1, 1, 2)


@pytest.mark.parametrize("name", BLOCKS)
def test_breaks_are_those_of_the_official_score(page: Page, name: str) -> None:
    """Sixty random logs of each block, many of them against the rules: as the service replays them."""
    rng = np.random.default_rng(sum(map(ord, name)))
    block = BLOCKS[name]
    logs = [_random_log(rng, name) for _ in range(60)]
    cases = [[rules(name), sets_of(log), block.rules.repeats] for log in logs]
    told = page.evaluate("(cases) => cases.map((one) => window.rules.tally(...one).breaks)", cases)
    official = [play_log(block, log).breaks for log in logs]
    assert told == official
    assert name == "amrap" or len(set(official)) > 1


def _random_log(rng: Any, name: str) -> SetLog:
    """Sets of any item in any amount, intervals never going back."""
    keys = [one.key for one in BLOCKS[name].items]
    interval, sets = 1, []
    for _ in range(int(rng.integers(1, 12))):
        interval += int(rng.random() < 0.4)
        sets.append(
            SetEntry(
                str(rng.choice(keys)),
                float(rng.integers(1, 12)),
                str(rng.choice(["planned", "failure", "clock", "no_rep"], p=[0.6, 0.2, 0.1, 0.1])),  # type: ignore[arg-type]
                float(rng.integers(0, 30)),
                interval=interval if BLOCKS[name].rules.intervals else None,
            )
        )
    return SetLog(tuple(sets))
