"""Results, reviews, rankings and prescriptions over HTTP; every answer is held against the document."""

import datetime as dt

import pytest
from django.utils import timezone

from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    add_athlete(world, "Idris Vane", 84.0, {"row_45": 18, "goblet_squat": 26})
    drain(world.cast)
    return world


def body(world: World, name: str, elapsed_s: float = 640.0, **fields: object) -> dict:
    squat = {"work": "b", "variation": "goblet_squat", "load_kg": 16, "ended_by": "planned"}
    row = {"work": "a", "variation": "row_45", "ended_by": "planned"}
    sets = [
        {**row, "repetitions": 30, "rir": 1},
        {**squat, "repetitions": 40},
        {**row, "repetitions": 30},
        {**squat, "repetitions": 40},
    ]
    when = timezone.now() - dt.timedelta(minutes=5)
    return {
        "session": str(world.session.id),
        "athlete": str(world.athletes[name].id),
        "performed_at": when.isoformat(),
        "set_log": {"sets": sets, "elapsed_s": elapsed_s},
        **fields,
    }


def test_a_result_can_be_followed(world: World, coach: ApiClient) -> None:
    """Sent, pending, scored by hand (640 s + 2 breaks of 20 s = 680 s), ranked, traced to its prescription."""
    sent = coach.post(url(world, "attempts"), body(world, "Bruna Keel"))
    assert sent.status_code == 201
    attempt = sent.json()
    pending = coach.get(url(world, f"attempts/{attempt['id']}")).json()
    assert (pending["score"], pending["score_reason"]) == (None, "pending")
    assert coach.get(url(world, f"scheduled-sessions/{world.session.id}/ranking")).json()["official"] == []
    drain(world.cast)
    scored = coach.get(url(world, f"attempts/{attempt['id']}")).json()
    assert (scored["score"]["score_s"], scored["score"]["breaks"]) == (680.0, 2)
    assert scored["as_sent"]["set_log"]["elapsed_s"] == 640.0
    ranking = coach.get(url(world, f"scheduled-sessions/{world.session.id}/ranking")).json()
    assert [(row["rank"], row["name"]) for row in ranking["official"]] == [(1, "Bruna Keel")]
    assert ranking["by_forecast"]["rows"][0]["notes"] == ["history_too_short"]
    frozen = coach.get(url(world, f"prescriptions/{attempt['prescription']}")).json()
    assert frozen["athlete"] == attempt["athlete"]
    assert frozen["basis"]["capacities"]["a"]["observations"] == 1
    assert "ranked" not in ranking


def test_a_ranking_follows_the_name_and_the_birth_date(world: World, coach: ApiClient) -> None:
    """A new name is shown at once; who turns out to be a minor has no place in the ranking by forecast."""
    coach.post(url(world, "attempts"), body(world, "Bruna Keel"))
    drain(world.cast)
    path = url(world, f"athletes/{world.athletes['Bruna Keel'].id}")
    young = (timezone.now() - dt.timedelta(days=15 * 365)).date().isoformat()
    changed = coach.patch(
        path, {"name": "Bruna Marsh", "born_on": young}, if_match=coach.get(path).headers["ETag"]
    )
    assert changed.status_code == 200
    place = url(world, f"scheduled-sessions/{world.session.id}/ranking")
    before = coach.get(place).json()
    names = [row["name"] for row in (*before["official"], *before["by_forecast"]["rows"])]
    assert names == ["Bruna Marsh", "Bruna Marsh"]
    drain(world.cast)
    (row,) = coach.get(place).json()["by_forecast"]["rows"]
    assert row["notes"] == ["not_eligible"]


def test_the_sheet_of_a_session(world: World, coach: ApiClient) -> None:
    """`session` and `current` give one prescription for each athlete of the location."""
    query = {"session": str(world.session.id), "current": "true"}
    rows = coach.get(url(world, "prescriptions"), query=query).json()["items"]
    assert {row["athlete"] for row in rows} == {str(a.id) for a in world.athletes.values()}
    assert all(row["superseded_by"] is None for row in rows)
    assert all(row["content"]["cautions"] for row in rows)


def test_the_sheet_leaves_out_who_has_left(world: World, coach: ApiClient) -> None:
    """An athlete who moved to another location, and a cancelled session, are on no current sheet."""
    query = {"session": str(world.session.id), "current": "true"}
    path = url(world, f"athletes/{world.athletes['Idris Vane'].id}")
    tag = coach.get(path).headers["ETag"]
    moved = coach.patch(path, {"location": str(world.cast.mill.id)}, if_match=tag)
    assert moved.status_code == 200
    drain(world.cast)
    rows = coach.get(url(world, "prescriptions"), query=query).json()["items"]
    assert {row["athlete"] for row in rows} == {str(world.athletes["Bruna Keel"].id)}
    gone = coach.get(url(world, "prescriptions"), query={**query, "current": "false"}).json()["items"]
    assert {row["athlete"] for row in gone} == {str(world.athletes["Idris Vane"].id)}
    coach.post(url(world, f"scheduled-sessions/{world.session.id}/cancel"))
    assert coach.get(url(world, "prescriptions"), query=query).json()["items"] == []


def test_a_correction_over_http(world: World, coach: ApiClient) -> None:
    """The first version stays readable and says what replaced it."""
    first = coach.post(url(world, "attempts"), body(world, "Bruna Keel")).json()
    changed = body(world, "Bruna Keel", 700.0, reason="The clock was misread.")
    del changed["session"], changed["athlete"]
    answer = coach.post(url(world, f"attempts/{first['id']}/corrections"), changed)
    assert answer.status_code == 201
    again = coach.post(url(world, f"attempts/{first['id']}/corrections"), changed)
    assert_problem(again, "result_already_corrected", 409)
    drain(world.cast)
    old = coach.get(url(world, f"attempts/{first['id']}")).json()
    assert (old["replaced_by"], old["score_reason"]) == (answer.json()["id"], "replaced")
    query = {"session": str(world.session.id), "current": "true"}
    rows = coach.get(url(world, "attempts"), query=query).json()["items"]
    assert [row["id"] for row in rows] == [answer.json()["id"]]


def test_a_review_is_resolved_once(world: World, coach: ApiClient) -> None:
    """If-Match, then closed for good."""
    coach.post(url(world, "attempts"), body(world, "Idris Vane", 15.0))
    drain(world.cast)
    (review,) = coach.get(url(world, "reviews"), query={"open": "true"}).json()["items"]
    assert review["findings"][0]["code"] == "impossible_speed"
    path = url(world, f"reviews/{review['id']}")
    tag = coach.get(path).headers["ETag"]
    verdict = {"accepted": True, "resolution": "Seen on the floor: the minutes were left out."}
    assert_problem(coach.patch(path, verdict), "precondition_required", 428)
    done = coach.patch(path, verdict, if_match=tag)
    assert done.json()["accepted"] is True
    assert_problem(coach.patch(path, verdict, if_match=tag), "precondition_failed", 412)
    assert_problem(coach.patch(path, verdict, if_match=done.headers["ETag"]), "review_closed", 409)
    assert coach.get(url(world, "reviews"), query={"open": "true"}).json()["items"] == []


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("heaviest_kg", -50), ("heaviest_kg", 0), ("heaviest_kg", 500.5), ("elapsed_s", 0), ("elapsed_s", 86_401),
        ("split_s", 0), ("breaks", -1), ("misses", -1), ("smallest_interval", -1),
    ],
)  # fmt: skip
def test_no_number_of_totals_is_out_of_this_world(
    world: World, coach: ApiClient, name: str, value: float
) -> None:
    """Least and most of each."""
    sent = body(world, "Bruna Keel", totals={"work": [{"work": "a", "repetitions": 60}], name: value})
    del sent["set_log"]
    answer = coach.post(url(world, "attempts"), sent)
    assert_problem(answer, "invalid_input", 400, at=f"#/totals/{name}")


def test_totals_and_a_log_are_either_or(world: World, coach: ApiClient) -> None:
    """Both or neither is refused with what to do."""
    both = body(world, "Bruna Keel", totals={"work": [{"work": "a", "repetitions": 60}]})
    problem = assert_problem(coach.post(url(world, "attempts"), both), "invalid_input", 400)
    assert problem["errors"][0]["code"] == "one_of"
    neither = {key: value for key, value in both.items() if key not in {"set_log", "totals"}}
    assert_problem(coach.post(url(world, "attempts"), neither), "invalid_input", 400)


def test_an_athlete_sends_for_oneself_only(world: World) -> None:
    """The athlete's own phone: own result stored, another's refused, prescriptions of others unseen."""
    from athletes.actions.athletes import update_athlete

    mine = world.athletes["Bruna Keel"]
    with world.cast.inside():
        update_athlete(
            actor=world.cast.coach.actor,
            athlete=mine,
            expected=mine.version,
            person_id=world.cast.athlete.person.id,
        )
    phone = ApiClient(world.cast.athlete.token)
    assert phone.post(url(world, "attempts"), body(world, "Bruna Keel")).status_code == 201
    other = phone.post(url(world, "attempts"), body(world, "Idris Vane"))
    problem = assert_problem(other, "invalid_input", 400)
    assert problem["errors"][0]["pointer"] == "#/athlete"
    rows = phone.get(url(world, "prescriptions")).json()["items"]
    assert {row["athlete"] for row in rows} == {str(mine.id)}
