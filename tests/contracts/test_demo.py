"""`manage.py demo --once`, as `make demo ONCE=1` runs it: servers, processes, the whole job."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from services.demo.people import ATHLETES
from services.demo.sheet import SAFETY, WIDTH
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


@pytest.mark.stack
def test_everybody_stands_on_the_sheet(printed: str) -> None:
    """A row for each of at least 24 athletes: with a version and its numbers, or with the reason why not."""
    sheet = printed.split("weighs in;")[0].splitlines()
    for person in ATHLETES:
        rows = [line for line in sheet if line.startswith(person.name)]
        assert len(rows) == 1, person.name
        assert re.search(r"\d–\d+–\d+ +\d+:\d\d – ", rows[0]) or "no version fits: " in rows[0]
    assert len(ATHLETES) >= 24
    assert all(line in printed for line in SAFETY)


@pytest.mark.stack
def test_the_sheet_shows_what_differs(printed: str) -> None:
    """Somebody does it as written, others not; newcomers check first; the limited shoulder gets no push-up."""
    for words in (
        "=push-up ",
        "push-up, hands at",
        "push-up, on the knees",
        "after the check set",
        "check first: ",
        "limit in force (shoulder)",
        "no body mass on record; weigh in first",
    ):
        assert words in printed


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
def test_the_way_on_is_told(printed: str) -> None:
    """What keeps running, and where to read on; no address of a service that stops with this run."""
    assert "make demo keeps all of this running" in printed
    assert "README.md" in printed
    assert "http://" not in printed
    assert max(len(line) for line in printed.split("RANKINGS")[0].splitlines() if "[" not in line) <= WIDTH
