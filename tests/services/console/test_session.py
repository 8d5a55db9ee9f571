"""A session's page says what the interface answers: aim, versions, results, ranking."""

from __future__ import annotations

import copy
import datetime as dt
from dataclasses import replace
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from programming.actions.sessions import schedule_session
from programming.actions.templates import create_template, publish_revision
from programming.calc.document import parse_revision
from services.console.aim import shown_said
from services.console.words import percent
from services.tenancy.actor import Role
from tests.services.console.browse import Seen, browser, looked_at, page
from tests.services.console.conftest import result_of, send
from tests.support.api import ApiClient
from tests.support.world import SESSION, World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db


def seen(world: World, role: Role = Role.COACH, path: str = "") -> Seen:
    answer = browser(world.cast.members[role]).get(page(world.cast, f"sessions/{world.session.id}{path}"))
    assert answer.status_code == 200
    return looked_at(answer)


def answers(world: World) -> list[dict[str, Any]]:
    """The session's sheet as the interface has it."""
    path = url(world, f"prescriptions?session={world.session.id}&current=true")
    found: list[dict[str, Any]] = ApiClient(world.cast.coach.token).get(path).json()["items"]
    return found


def test_the_aim_is_told_in_words(world: World) -> None:
    """Every condition with its window in its unit, and how the session runs; no key of the document shows."""
    told = seen(world).text
    for line in (
        "Suspension row, in one go when rested: 12 to 22 repetitions",
        "The time: 4:00 to 25:00",
        "Suspension row, 60 repetitions; as written: Suspension row, body 45 degrees from the vertical",
        "a set that ends before its work is done costs 0:20",
        "it ends at 30:00 at the latest",
        "Local endurance of the back and the legs.",
    ):
        assert line in told
    assert "first_set" not in told and "row_45" not in told


def test_everybody_stands_there_with_their_own_version(prescribed: World) -> None:
    """Versions, loads, expected score with its interval, and chance are those of the interface's answer."""
    told = seen(prescribed)
    given = answers(prescribed)
    assert {one["athlete_name"] for one in given} == {"Bruna Keel", "Idris Vane", "Otis Marsh"}
    for one in given:
        assert one["athlete_name"] in told.text
        assert page(prescribed.cast, f"prescriptions/{one['id']}/brief") in told.links
        for work in one["content"]["work"]:
            assert work["variation_name"] in told.text
            assert (work["load_text"] or "") in told.text
        if one["feasible"]:
            score = one["content"]["expected"]["score"]
            low, middle, high = (
                f"{round(score[level]) // 60}:{round(score[level]) % 60:02d}"
                for level in ("p10", "p50", "p90")
            )
            assert middle in told.text and f"{low} to {high}" in told.text
            assert percent(one["basis"]["p_all"]) in told.text
    assert sum(one["feasible"] for one in given) == 2


def test_who_has_none_stands_there_with_the_reason(prescribed: World) -> None:
    """The goblet squat of somebody without a body mass cannot be told."""
    told = seen(prescribed).text
    line = told[told.index("Otis Marsh") :]
    assert "No version." in line and "none is recorded" in line


def test_a_result_stands_beside_what_was_expected_with_its_aim(prescribed: World) -> None:
    """640 s and two breaks of 20 s make 680 s, 11:20; the time of the aim is met, and what a set hides is unknown."""
    send(prescribed, result_of(prescribed, "Bruna Keel", effort=7))
    told = seen(prescribed).text
    came = told[told.index("What came back") :]
    assert "11:20" in came and "10:40 on the clock, 2 breaks 0:40" in came
    assert "7 of 10" in came
    assert "✓ met, 11:20" in came
    expected = next(one for one in answers(prescribed) if one["athlete_name"] == "Bruna Keel")["content"][
        "expected"
    ]
    middle = expected["score"]["p50"]
    assert f"{round(middle) // 60}:{round(middle) % 60:02d} (" in came
    wall = told[told.index("Ranking") :]
    assert "1 Bruna Keel 11:20" in wall and "history too short" in wall


def test_a_ranking_of_own_versions_says_what_its_places_are_worth(prescribed: World) -> None:
    """Lighter bells for one, as written for another: two tables, and the note beside the one that needs it."""
    lighter = result_of(prescribed, "Idris Vane")
    for one in lighter["set_log"]["sets"]:
        one |= {"load_kg": 12} if "load_kg" in one else {}
    send(prescribed, lighter)
    send(prescribed, result_of(prescribed, "Bruna Keel"))
    told = seen(prescribed).text
    wall = told[told.index("Ranking") :]
    assert "Own version Each did what was found for them" in wall
    assert wall.count("a place tells little of who did more") == 1


@pytest.mark.parametrize(
    ("kind", "low", "high", "said"),
    [
        ("first_set", 30.0, 42.2, "30 to 42"),
        ("first_set", 30.1, 30.4, "30"),
        ("later_sets", 1240.0, None, "at least 1240"),
        ("time", 745.0, 745.0, "12:25"),
        ("score", 745.0, 760.0, "12:25 to 12:40"),
        ("effort", 7.5, 7.5, "7.5"),
        ("stopped_by", None, None, ""),
    ],
)
def test_what_a_result_shows_is_told_in_its_unit(
    kind: str, low: float | None, high: float | None, said: str
) -> None:
    """The score of a session for time is one too; nobody does a part of a repetition."""
    (block,) = parse_revision(SESSION).blocks
    assert shown_said({"kind": kind, "low": low, "high": high}, block) == said


def test_what_is_not_scored_has_no_ranking(prescribed: World) -> None:
    """No table of people without a place."""
    draft = copy.deepcopy(SESSION)
    unbroken = {"counts": "none", "penalty_s": 0, "penalty": "added"}
    draft["blocks"][0]["rules"] |= {
        "order": "in_sequence",
        "break": unbroken,
        "scored": "none",
        "tie_break": "none",
    }
    actor = prescribed.cast.coach.actor
    assert actor is not None
    with prescribed.cast.inside():
        template = create_template(actor=actor, name="For its own sake", draft=draft)
        revision, _ = publish_revision(actor=actor, template=template, version=template.version)
        session = schedule_session(
            actor=actor,
            revision_id=revision.id,
            location_id=prescribed.cast.harbour.id,
            starts_at=timezone.now() + dt.timedelta(days=2),
        )
    drain(prescribed.cast)
    send(prescribed, result_of(prescribed, "Bruna Keel", session=str(session.id)))
    told = seen(replace(prescribed, session=session)).text
    assert "Bruna Keel" in told[told.index("What came back") :] and "Ranking" not in told


def test_a_result_that_does_not_add_up_is_called_so(prescribed: World) -> None:
    """Twenty repetitions missing: no time is told, but what was done, and that it waits."""
    send(prescribed, result_of(prescribed, "Bruna Keel", last=20))
    told = seen(prescribed).text
    assert "to look at: counts for nothing yet" in told
    assert "11:20" not in told


def test_athletes_see_their_own_line_and_the_wall(prescribed: World) -> None:
    """Nobody else's version or result; the ranking hangs on the wall for all."""
    send(prescribed, result_of(prescribed, "Bruna Keel"))
    told = seen(prescribed, Role.ATHLETE).text
    before, wall = told.split("Ranking")
    assert "Bruna Keel" not in before and "Idris Vane" not in before
    assert "Bruna Keel" in wall


def test_before_anybody_takes_part_it_says_how_to_go_on(world: World) -> None:
    """No table of nothing."""
    told = seen(world).text
    assert "Nobody whom you see takes part." in told and "take them in" in told
    assert "No result yet." in told


@pytest.mark.parametrize("path", ["", "/sheet"])
def test_another_organisation_s_session_is_not_there(prescribed: World, path: str) -> None:
    """404 by either address, as for one that never was."""
    other = make_world()
    client = browser(prescribed.cast.coach)
    for org in (prescribed.cast, other.cast):
        assert client.get(page(org, f"sessions/{other.session.id}{path}")).status_code == 404


def test_a_brief_is_read_part_by_part(prescribed: World) -> None:
    """All lines of the interface's brief, in its order."""
    one = next(row for row in answers(prescribed) if row["athlete_name"] == "Bruna Keel")
    brief = (
        ApiClient(prescribed.cast.coach.token).get(url(prescribed, f"prescriptions/{one['id']}/brief")).json()
    )
    answer = browser(prescribed.cast.coach).get(page(prescribed.cast, f"prescriptions/{one['id']}/brief"))
    told = looked_at(answer).text
    assert len(brief["parts"]) > 4
    place = 0
    for line in (line for part in brief["parts"] for line in (part["title"], *part["lines"])):
        place = told.index(" ".join(line.split()), place)
    other = make_world()
    assert (
        browser(other.cast.coach).get(page(other.cast, f"prescriptions/{one['id']}/brief")).status_code == 404
    )


def test_what_a_coach_writes_is_text(prescribed: World) -> None:
    """Title, texts and names are escaped on every page that shows them."""
    cast, actor = prescribed.cast, prescribed.cast.coach.actor
    nasty = '<img src=x onerror="alert(1)"> & "more"'
    draft = {**SESSION, "title": nasty, "texts": {"why": nasty, "how": nasty}}
    with cast.inside():
        template = create_template(actor=actor, name="Nasty", draft=draft)
        revision, _ = publish_revision(actor=actor, template=template, version=template.version)
        placed = schedule_session(
            actor=actor,
            revision_id=revision.id,
            location_id=cast.harbour.id,
            starts_at=prescribed.session.starts_at,
        )
    drain(cast)
    client, day = browser(cast.coach), prescribed.session.local_date.isoformat()
    for path in (f"sessions/{placed.id}", f"sessions/{placed.id}/sheet", f"today?date={day}"):
        answer = client.get(page(cast, path))
        assert "<img" not in answer.content.decode(), path
        assert "&lt;img src=x onerror=" in answer.content.decode(), path
        looked_at(answer)


def test_a_session_costs_the_same_with_three_athletes_and_with_thirty(world: World) -> None:
    """Their versions and results; the sheet as well."""
    found: dict[str, list[int]] = {"": [], "/sheet": []}
    for count in (3, 30):
        for number in range(len(world.athletes), count):
            add_athlete(world, f"Somebody {number}", 70.0)
        drain(world.cast)
        for name in list(world.athletes)[-2:]:
            send(world, result_of(world, name))
        client = browser(world.cast.coach)
        client.get("/")  # the first of an hour notes that the token was used
        for path, numbers in found.items():
            with CaptureQueriesContext(connection) as queries:
                answer = client.get(page(world.cast, f"sessions/{world.session.id}{path}"))
            assert answer.content.decode().count('<th scope="row">') >= count
            numbers.append(len(queries))
    assert all(few == many for few, many in found.values()), found
