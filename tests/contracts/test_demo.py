"""`manage.py demo --once`, as `make demo ONCE=1` runs it: servers, processes, the whole job."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from athletes.safety_words import RELEASED_BY, SAFE_ALTERNATIVES
from services.demo.felt import WORN
from services.demo.people import ATHLETES, MILL
from services.demo.sheet import WIDTH
from services.demo.sheet_words import HOLDS, SAFETY
from services.demo.tests_taken import RECORD
from services.demo.weeks import GROUP
from services.devstack.roles import ROLE_OF_SETTING

ROOT = Path(__file__).resolve().parent.parent.parent
LONGEST_S = 600  # against hanging only


@pytest.fixture(scope="module")
def printed() -> str:
    """What one run prints, from an environment in which no server is named; it must have ended well."""
    named = {*ROLE_OF_SETTING, "REDIS_URL", "SECRET_KEY", "DJANGO_SETTINGS_MODULE"}
    environ = {name: value for name, value in os.environ.items() if name not in named}
    done = subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "demo", "--once"],
        cwd=ROOT,
        env=environ,
        capture_output=True,
        text=True,
        timeout=LONGEST_S,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    return done.stdout


def flat(printed: str) -> str:
    """The text without line breaks, indents and the facts beside the sheet's second lines."""
    plain = re.sub(r"^  [fm] \d+(, [\d.]+ kg)?", "", printed, flags=re.MULTILINE)
    return " ".join(plain.split())


@pytest.mark.stack
def test_everybody_stands_on_the_sheet(printed: str) -> None:
    """A row for each of at least 24 athletes: with a version and its numbers, or with the reason why not."""
    sheets, _, lifting = printed.partition("BEFORE THE CLASS")[0].partition("\nBallast")
    for person in ATHLETES:
        rows = [line for line in sheets.splitlines() if line.startswith(person.name)]
        assert len(rows) == 1, person.name
        told = r"(\d–\d+–\d+|\d W) +\d+:\d\d – |no version fits: |on hold: "
        assert re.search(told, rows[0]), rows[0]
        lifts = [line for line in lifting.splitlines() if line.startswith(person.name)]
        assert len(lifts) == (person.place == MILL), person.name
    assert len(ATHLETES) >= 24
    assert all(line in printed for line in SAFETY)


@pytest.mark.stack
def test_the_sheet_shows_what_differs(printed: str) -> None:
    """Somebody does it as written, others not; newcomers check first; the limited shoulder gets no push-up."""
    for words in (
        "=push-up ",
        "push-up, hands at",
        "push-up, on the knees",
        "after check set",
        "check first: ",
        "limit in force (shoulder)",
        "no body mass on record; weigh in first",
        "5 rounds of 15 kcal on the bike",
        "rest between, not scored",
        "  breathing",
        "  muscle: ",
    ):
        assert words in printed


@pytest.mark.stack
def test_the_coach_is_answered_before_anybody_trains(printed: str) -> None:
    """Contradictions, who reaches the aim, what a place does differently, a week copied once."""
    told = flat(printed)
    for words in (
        "Later sets cannot be longer than the first",
        "Nobody below the middle reaches what is asked of the first set of",
        "Every typical athlete, from the weakest tenth to the strongest, has a version that serves.",
        "70 repetitions, before 80 repetitions",
        "the time cap is now 1200 s, before 1500 s",
        "copied once more: ",
    ):
        assert words in told


@pytest.mark.stack
def test_safety_comes_first(printed: str) -> None:
    """A yes and a silence hold, with what is offered and who releases; a return, pain and a warning sign."""
    told = flat(printed)
    for words in (
        f"on hold: {HOLDS['screening_yes']}",
        f"on hold: {HOLDS['absence_unconfirmed']}",
        SAFE_ALTERNATIVES["screening_yes"],
        RELEASED_BY["absence_unconfirmed"],
        "is released by the coach:",
        "of the former volume, nothing to failure: 20× push-up",
        "Call the local emergency number",
        "see a physician the same day",
        "acknowledges: ",
        f"is on hold until released by {RELEASED_BY['red_flag']}",
    ):
        assert words in told, words


@pytest.mark.stack
def test_people_have_the_last_word(printed: str) -> None:
    """A check set settles the version; a coach overrides, once what speaks against it is named."""
    told = flat(printed)
    for words in (
        "12 with 10 left. At once: Not too hard: rest, then begin",
        "without a check set",
        "Stored with limit:lower_back acknowledged and the reason: ",
        "in one request: as prescribed",
    ):
        assert words in told, words


@pytest.mark.stack
def test_results_are_ranked_and_teach(printed: str) -> None:
    """Replayed, reviewed, corrected, late: each is told; then rankings, changed capacities, new prescriptions."""
    for words in (
        "sends twice: one result is stored, the answer is replayed",
        "does not add up and waits for a person",
        "the first version stays",
        "comes late and is ranked",
        "official, as the coach wrote it",
        "official, own version",
        "by own forecast",
        "never stands alone",
    ):
        assert words in printed
    issued = re.search(r"Of (\d+) prescriptions for the next time (\d+) were issued again", printed)
    assert issued
    assert 0 < int(issued[2]) <= int(issued[1]) == len(ATHLETES)


@pytest.mark.stack
def test_the_weeks_are_told(printed: str) -> None:
    """Of load, wellness, progression and balance what six weeks have come to, and on which page it stands."""
    told = flat(printed.partition("OVER THE WEEKS")[2])
    for words in (
        rf"load {WORN}, seven days up to [\d-]+: \d{{4}} AU \(effort times minutes\), \d+ % more than the week"
        rf" before\. Page: Athletes, {WORN}, Load\.",
        rf"wellness in [123] of 3 questions {WORN}'s answers are unusual of {WORN}, towards the worse end: "
        rf'"[^"]+" [\d.]+ of late, as a rule [\d.]+ to [\d.]+\. Page: Athletes, {WORN}, Wellness\.',
        rf"progression {RECORD}'s best in push-up[^.]* is \d+ repetitions on [\d-]+, before \d+; since [\d-]+ the"
        rf" load for the same work has changed by \+[\d.]+ % \([+-][\d.]+ to \+[\d.]+\)\. Page:"
        rf" Athletes, {RECORD}, Progression\.",
        rf"balance {GROUP}, 8 athletes in four weeks: [a-z ]+ has \d+ % of the hard sets; the coach wants \d+ %\."
        rf" Page: Balance, {GROUP}\.",
    ):
        assert re.search(words, told), words
    sent = re.search(
        r"(\d+) tests, (\d+) results, (\d+) times trained beside the programme, (\d+) days of rest, (\d+)",
        flat(printed),
    )
    assert sent
    assert all(int(count) >= 90 for count in sent.groups())


@pytest.mark.stack
def test_the_way_on_is_told(printed: str) -> None:
    """What keeps running, and where to read on; no address of a service that stops with this run."""
    assert "make demo keeps all of this running" in printed
    assert "README.md" in printed
    assert "http://" not in printed
    assert max(map(len, printed.splitlines())) <= WIDTH
