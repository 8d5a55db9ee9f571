"""The README promises nothing that is not there: targets, paths, routes, commands, settings, examples."""

from __future__ import annotations

import json
import re
from pathlib import Path
from uuid import uuid4

import pytest
from django.core.management import get_commands
from django.urls import resolve

from programming.calc.document import contradictions, parse_revision
from services.demo.describe import session_lines
from services.demo.documents import HEADWIND
from services.demo.felt import WORN
from services.demo.people import ATHLETES
from services.demo.sheet import WIDTH
from services.demo.tests_taken import RECORD
from services.demo.weeks import FORM, GROUP
from services.devstack.roles import ROLE_OF_SETTING

ROOT = Path(__file__).resolve().parent.parent.parent
README = (ROOT / "README.md").read_text()
CODE = "\n".join(re.findall(r"```sh\n(.*?)```", README, re.DOTALL) + re.findall(r"`([^`\n]+)`", README))
ROUTE = re.compile(r"(?:\$BASE|(?<![\w.]))(/(?:api|problems|livez|readyz|metrics)[\w/$.-]*)")

PATH = re.compile(
    r"(?<![/\w$])((?:services|programming|athletes|scoring|tests)/[\w./-]+|LICENSE|DEVELOPERS\.md)"
)


def found(pattern: str, text: str = CODE) -> list[str]:
    hits = sorted(set(re.findall(pattern, text)))
    assert hits, f"nothing in the README looks like {pattern}"
    return hits


def test_the_job_comes_first() -> None:
    """The first paragraph below the title says what it is for."""
    title, first, *_ = README.split("\n\n")
    assert title == "# Dosewright"
    assert first.startswith("A coach writes a training session once")


@pytest.mark.parametrize("target", found(r"\bmake ([a-z]+)"))
def test_targets_exist(target: str) -> None:
    """Each `make` target that is named is one of the Makefile's."""
    assert re.search(rf"^{target}:", (ROOT / "Makefile").read_text(), re.MULTILINE)


@pytest.mark.parametrize("route", found(ROUTE.pattern))
def test_routes_exist(route: str) -> None:
    """Each address leads to a view; the variables of the examples stand for ids."""
    resolve(re.sub(r"\$[A-Z]+", lambda _: str(uuid4()), route))


@pytest.mark.parametrize(
    "path", found(r"(?<![/\w$])((?:services|programming|athletes|scoring|tests)/[\w./-]+|LICENSE)")
)
def test_paths_exist(path: str) -> None:
    """Each file that is named lies in the tree."""
    assert (ROOT / path).exists()


@pytest.mark.parametrize("command", found(r"manage\.py (\w+)"))
def test_commands_exist(command: str) -> None:
    """Each command of manage.py that is named is installed."""
    assert command in get_commands()


def test_settings_are_all_told_and_none_invented() -> None:
    """The table holds exactly the variables that the settings read."""
    table = set(re.findall(r"^\| `([A-Z_]+)` \|", README, re.MULTILINE))
    source = (ROOT / "services" / "settings" / "base.py").read_text()
    read = set(re.findall(r"env\.\w+\(\s*\"([A-Z_]+)\"", source))
    read |= {"DATABASE_OWNER_URL", "DATABASE_RELAY_URL"} & ROLE_OF_SETTING.keys()
    assert table == read


def bodies() -> list[dict[str, object]]:
    """The JSON that the examples send."""
    return [json.loads(body) for body in re.findall(r"-d '(\{.*?\})'$", README, re.DOTALL | re.MULTILINE)]


def test_examples_are_json() -> None:
    """Bodies and answers parse; the template, the session, the attempt are among what is sent."""
    sent = bodies()
    keys = {key for body in sent for key in body}
    assert {"password", "draft", "version", "revision", "set_log"} <= keys
    answers = [json.loads(answer) for answer in re.findall(r"```json\n(.*?)```", README, re.DOTALL)]
    assert len(answers) >= 4


def test_the_template_can_be_published() -> None:
    """The session of the example is a session, without contradiction."""
    (draft,) = [body["draft"] for body in bodies() if "draft" in body]
    assert contradictions(parse_revision(draft)) == []


def test_the_score_of_the_example_adds_up() -> None:
    """All rounds are done; 421 s and 10 s for each rest that was too long are the score that is shown."""
    (draft,) = [body["draft"] for body in bodies() if "draft" in body]
    (log,) = [body["set_log"] for body in bodies() if "set_log" in body]
    block = draft["blocks"][0]
    rules = block["rules"]
    left = {
        item["key"]: rules["rounds"] * (item.get("repetitions") or item["distance_m"])
        for item in block["work"]
    }
    breaks = 0
    for one in log["sets"]:
        left[one["work"]] -= one.get("repetitions") or one["distance_m"]
        breaks += one["rest_before_s"] > rules["break"]["rest_over_s"]
    assert set(left.values()) == {0}
    score = log["elapsed_s"] + breaks * rules["break"]["penalty_s"]
    assert f'"score_s": {score:.1f}' in README
    assert f'"breaks": {breaks},' in README


def test_what_is_said_of_the_demo_is_so() -> None:
    """The number of people, and those who are shown."""
    assert f"{len(ATHLETES)} people" in README
    names = {one.name for one in ATHLETES}
    shown = set(re.findall(r"^([A-Z]\w+ [A-Z]\w+) {2,}", README, re.MULTILINE))
    assert shown
    assert shown <= names


def test_the_heading_of_the_shown_sheet_is_of_the_demo() -> None:
    """The session that is shown is one that the demo's coach writes, in the demo's words."""
    for line in session_lines(HEADWIND, WIDTH - 2):
        assert f"\n  {line}\n" in README


def test_what_is_shown_of_the_weeks_is_as_the_demo_tells_it() -> None:
    """The lines of load, wellness, progression and balance are of its people, and name pages that are there."""
    shown = README.split("```\n  load ")[1].split("```")[0]
    told = " ".join(f"load {shown}".split())
    for label, page in (
        ("load", f"Athletes, {WORN}, Load."),
        ("wellness", f"Athletes, {WORN}, Wellness."),
        ("progression", f"Athletes, {RECORD}, Progression."),
        ("balance", f"Balance, {GROUP}."),
    ):
        assert re.search(rf"(^| ){label} ", told), label
        assert f"Page: {page}" in told
    assert set(re.findall(r'"([^"]+)"', shown)) <= {one["text"] for one in FORM["items"]}
    assert max(map(len, shown.splitlines())) <= WIDTH


def test_safety_is_spoken_of() -> None:
    """Physician, stop signs, that no number overrules a coach; holds, absence, limits, reports, and who decides."""
    section = README.split("## Safety")[1].split("## ")[0]
    for word in (
        "physician",
        "Stop at pain",
        "no medical advice",
        "last word",
        "named person",
        "screening",
        "absence",
        "unaccustomed",
        "emergency number",
        "acknowledges",
    ):
        assert word in section


def test_what_it_cannot_do_is_told() -> None:
    """A section of honest limits, and no sentence left over from a narrower version."""
    assert README.count("## What it cannot do") == 1
    assert "This version knows" not in README
