"""Words on a result, both ways; the review queue; and what a second result is told."""

import datetime as dt

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.athletes import update_athlete
from scoring.actions.notes import add_note
from scoring.models import Attempt, AttemptNote
from tests.scoring import several
from tests.scoring.several import url
from tests.scoring.test_api import body
from tests.scoring.test_sentences import raw_words
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    for name, mass in (("Bruna Keel", 62.0), ("Idris Vane", 84.0)):
        add_athlete(world, name, mass)
    with world.cast.inside():
        mine = world.athletes["Bruna Keel"]
        update_athlete(
            actor=world.cast.coach.actor,
            athlete=mine,
            expected=mine.version,
            person_id=world.cast.athlete.person.id,
        )
    return world


@pytest.fixture
def phone(world: World) -> ApiClient:
    return ApiClient(world.cast.athlete.token)


def test_athlete_and_coach_talk_about_a_result(world, coach, phone):
    """The athlete's words come with the result, the answers follow; a correction keeps the talk together."""
    first = phone.post(url(world, "attempts"), body(world, "Bruna Keel", note="My grip gave out.")).json()
    notes = url(world, f"attempts/{first['id']}/notes")
    assert coach.post(notes, {"text": "Chalk next time.", "client_id": "c-1"}).status_code == 201
    assert coach.post(notes, {"text": "Chalk next time.", "client_id": "c-1"}).status_code == 200
    assert_problem(coach.post(notes, {"text": "Other words.", "client_id": "c-1"}), "client_id_reused", 409)
    changed = body(world, "Bruna Keel", 700.0, reason="The clock was misread.")
    del changed["session"], changed["athlete"]
    second = phone.post(url(world, f"attempts/{first['id']}/corrections"), changed).json()
    assert phone.post(url(world, f"attempts/{second['id']}/notes"), {"text": "Will do."}).status_code == 201

    for reader in (coach, phone):
        rows = reader.get(notes).json()["items"]
        assert [row["text"] for row in rows] == ["Will do.", "Chalk next time."]
    assert coach.get(url(world, f"attempts/{first['id']}")).json()["note"] == "My grip gave out."
    assert rows[1]["author_name"] == world.cast.coach.person.name


def test_a_correction_without_a_note_keeps_the_words_of_the_athlete(world, coach):
    """Of the version before, also over several; a note of its own replaces them, and an empty one takes them away."""
    phone = ApiClient(world.cast.coach.token)
    sent = body(world, "Bruna Keel", note="My grip gave out.")
    found, shown = phone.post(url(world, "attempts"), sent).json(), []
    plain = {
        key: value for key, value in sent.items() if key not in {"session", "athlete", "client_id", "note"}
    }
    for more in ({}, {}, {"note": "It was the left hand."}, {"note": ""}, {}):
        changed = {**plain, "reason": "Read the clock again.", **more}
        answer = coach.post(url(world, f"attempts/{found['id']}/corrections"), changed)
        assert answer.status_code == 201, answer.content
        found = coach.get(url(world, f"attempts/{answer.json()['id']}")).json()
        assert found["as_sent"] == changed
        shown.append(found["note"])
    assert shown == ["My grip gave out."] * 2 + ["It was the left hand.", "", ""]


def test_a_correction_without_an_effort_keeps_how_hard_it_was(world, coach):
    """Of the version before, also over several; another replaces it, null takes it away."""
    sent = body(world, "Bruna Keel", effort=9)
    found, shown = coach.post(url(world, "attempts"), sent).json(), []
    without = {"session", "athlete", "client_id", "effort"}
    plain = {key: value for key, value in sent.items() if key not in without}
    for more in ({}, {}, {"effort": 7.5}, {"effort": None}, {}):
        changed = {**plain, "reason": "Read the clock again.", **more}
        answer = coach.post(url(world, f"attempts/{found['id']}/corrections"), changed)
        assert answer.status_code == 201, answer.content
        found = coach.get(url(world, f"attempts/{answer.json()['id']}")).json()
        shown.append(found["effort"])
    assert shown == [9.0, 9.0, 7.5, None, None]


def test_a_note_never_changes(world, coach):
    """Not even past the application."""
    sent = coach.post(url(world, "attempts"), body(world, "Bruna Keel")).json()
    coach.post(url(world, f"attempts/{sent['id']}/notes"), {"text": "Strong."})
    with world.cast.inside(), pytest.raises(DatabaseError), transaction.atomic():
        AttemptNote.objects.update(text="Weak.")


def test_a_list_of_notes_costs_the_same_for_three_and_thirty(world, coach):
    """The number of queries does not grow with the number of notes."""
    found = []
    sent = coach.post(url(world, "attempts"), body(world, "Bruna Keel")).json()
    for count in (3, 27):
        with world.cast.inside():
            attempt = Attempt.objects.get(id=sent["id"])
            for number in range(count):
                add_note(actor=world.cast.coach.actor, attempt=attempt, text=f"{count}, {number}")
        with CaptureQueriesContext(connection) as queries:
            rows = coach.get(url(world, f"attempts/{sent['id']}/notes")).json()["items"]
        found.append((len(rows), len(queries)))
    assert [count for count, _ in found] == [3, 30] and found[0][1] == found[1][1]


def test_reviews_are_filtered(world, coach):
    """By session, athlete and code; an unknown code is a mistake, not an empty list."""
    for name, elapsed_s in (("Bruna Keel", 15.0), ("Idris Vane", 640.0)):
        sent = body(world, name, elapsed_s)
        sent["set_log"]["sets"][3]["repetitions"] = 39 if name == "Idris Vane" else 40
        assert coach.post(url(world, "attempts"), sent).status_code == 201
    drain(world.cast)

    def athletes(**query):
        return [row["athlete"] for row in coach.get(url(world, "reviews"), query=query).json()["items"]]

    bruna, idris = (str(world.athletes[name].id) for name in ("Bruna Keel", "Idris Vane"))
    assert set(athletes(session=str(world.session.id))) == {bruna, idris}
    assert athletes(code="impossible_speed") == [bruna]
    assert athletes(code="missing_repetitions") == [idris]
    assert athletes(athlete=idris, code="impossible_speed") == []
    assert_problem(coach.get(url(world, "reviews"), query={"code": "too_slow"}), "invalid_input", 400)


def test_a_second_result_is_told_of_the_first(world, coach):
    """409 names the attempt that is stored, also after it was corrected."""
    first = coach.post(url(world, "attempts"), body(world, "Idris Vane")).json()
    problem = assert_problem(
        coach.post(url(world, "attempts"), body(world, "Idris Vane", 650.0)), "result_exists", 409
    )
    assert first["id"] in problem["detail"]
    changed = body(world, "Idris Vane", 700.0, reason="The clock was misread.")
    del changed["session"], changed["athlete"]
    second = coach.post(url(world, f"attempts/{first['id']}/corrections"), changed).json()
    again = coach.post(url(world, "attempts"), body(world, "Idris Vane", 650.0))
    assert second["id"] in assert_problem(again, "result_exists", 409)["detail"]


def test_a_minor_has_a_score_and_no_place(world, coach):
    """Shown with the reason; the others close up."""
    young = (timezone.now() - dt.timedelta(days=15 * 365)).date().isoformat()
    path = url(world, f"athletes/{world.athletes['Bruna Keel'].id}")
    coach.patch(path, {"born_on": young}, if_match=coach.get(path).headers["ETag"])
    for name, elapsed_s in (("Bruna Keel", 500.0), ("Idris Vane", 640.0)):
        coach.post(url(world, "attempts"), body(world, name, elapsed_s))
    drain(world.cast)

    rows = coach.get(url(world, f"scheduled-sessions/{world.session.id}/ranking")).json()["official"]
    assert [(row["name"], row["rank"], row["rank_reason"], row["value"]) for row in rows] == [
        ("Idris Vane", 1, None, 680.0), ("Bruna Keel", None, "minor", 540.0),
    ]  # fmt: skip


def test_a_review_calls_work_and_blocks_by_their_names(world, coach):
    """Of several blocks it says which one, and never a key."""
    session = several.place(world, several.document(several.EVERY, several.ROUNDS, by="places"))
    short = {"block": "every", "totals": {"work": [{"work": "row", "repetitions": 99}]}}
    sent = several.send(world, session, "Bruna Keel", blocks=[short, several.rounds(30, 25)])
    assert sent.status_code == 201, sent.content
    drain(world.cast)

    rows = coach.get(url(world, "reviews")).json()["items"]
    lines = {one["code"]: one["detail"] for row in rows for one in row["findings"]}
    assert lines["too_many_repetitions"] == (
        "In the first block: 99 repetitions of Suspension row are reported, 32 were to be done."
    )
    assert lines["wrong_order"].startswith("In the second block: ")
    assert raw_words(list(lines.values())) == []
