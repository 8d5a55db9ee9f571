"""Whether a session can do what it should, tried before it is published: typical athletes, and real ones."""

import copy
from dataclasses import replace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.queries import AthleteInputs
from programming.plans import SessionPlan
from scoring import reach
from scoring.models import Prescription
from scoring.working_out import Known, Worked
from tests.scoring.sessions import block, document, work
from tests.support.api import ApiClient, assert_problem
from tests.support.pointers import WORK
from tests.support.world import SESSION, World, add_athlete, make_world

pytestmark = pytest.mark.django_db

FLOOR_ONLY = document(
    "Push-ups from the floor",
    block(
        "main",
        work("u", "push_up", "push_up_floor", repetitions=80, variations=["push_up_floor"]),
        aim=[{"kind": "first_set", "work": "u", "lower": 20, "upper": 30}],
    ),
)


@pytest.fixture
def world(db: None) -> World:
    return make_world()


def url(world: World) -> str:
    return f"/api/v1/organisations/{world.cast.org.id}/reach-checks"


def body(world: World, draft: dict, **fields: object) -> dict:
    return {"document": draft, "location": str(world.cast.harbour.id), **fields}


def test_who_does_not_reach_the_aim_is_named_with_a_way_out(world: World, coach: ApiClient) -> None:
    """The weak do not reach twenty push-ups from the floor; the easier ones that would serve are named."""
    answer = coach.post(url(world), body(world, FLOOR_ONLY))
    assert answer.status_code == 200, answer.content
    told = answer.json()
    assert [one["athlete"] for one in told["people"]] == [None] * 6
    weak = [one for one in told["people"] if "10th" in one["name"]]
    assert not any(one["feasible"] for one in weak)
    (line,) = [line for line in told["sentences"] if "below the middle" in line or "up to the middle" in line]
    assert "the first set of Push-up, 20 to 30" in line
    assert "allow Push-up, hands on a box" in line
    assert "does not help everybody (female, 10th percentile of strength, male, 10th" in line
    allowed = copy.deepcopy(FLOOR_ONLY)
    allowed["blocks"][0]["work"][0]["variations"] = []
    wide = coach.post(url(world), body(world, allowed)).json()
    assert all(one["feasible"] for one in wide["people"] if "50th" in one["name"])
    assert not any(one["feasible"] for one in wide["people"] if "10th" in one["name"])


def test_stronger_people_are_never_given_an_easier_version(world: World, coach: ApiClient) -> None:
    """Of one sex, the chance of a window with the same version is as the percentiles are."""
    document_ = copy.deepcopy(FLOOR_ONLY)
    document_["blocks"][0]["aim"]["conditions"] = [{"kind": "first_set", "work": "u", "lower": 20}]
    people = coach.post(url(world), body(world, document_)).json()["people"]
    for sex in ("female", "male"):
        chances = [
            one["blocks"][0]["conditions"][0]["probability"] for one in people if one["name"].startswith(sex)
        ]
        assert chances == sorted(chances)


def test_real_athletes_are_tried_and_nothing_is_stored(world: World, coach: ApiClient) -> None:
    """Those of the location with what is known of them; staff of another place see none of them."""
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9, "goblet_squat": 18})
    add_athlete(world, "Tove Ash")
    told = coach.post(url(world), body(world, SESSION, with_athletes=True)).json()
    named = {one["name"]: one for one in told["people"] if one["athlete"] is not None}
    assert set(named) == {"Bruna Keel", "Tove Ash"}
    assert named["Bruna Keel"]["feasible"]
    assert not named["Tove Ash"]["feasible"]
    assert any("1 has no version that serves: Tove Ash." in line for line in told["sentences"])
    with world.cast.inside():
        assert not Prescription.objects.exists()
    staff = ApiClient(world.cast.staff.token)
    elsewhere = {**body(world, SESSION, with_athletes=True), "location": str(world.cast.mill.id)}
    assert len(staff.post(url(world), elsewhere).json()["people"]) == 6


def test_a_published_revision_can_be_tried_on_named_athletes(world: World, coach: ApiClient) -> None:
    """The preview before a session is placed."""
    athlete = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9, "goblet_squat": 18})
    sent = {
        "revision": str(world.revision.id),
        "location": str(world.cast.harbour.id),
        "athletes": [str(athlete.id)],
    }
    told = coach.post(url(world), sent).json()
    assert [one["name"] for one in told["people"]][-1] == "Bruna Keel"
    unknown = {**sent, "athletes": [str(world.revision.id)]}
    assert_problem(coach.post(url(world), unknown), "invalid_input", 400, at="#/athletes/0")


def test_what_could_not_be_published_is_refused_with_its_places(world: World, coach: ApiClient) -> None:
    """A movement that the catalogue does not have."""
    wrong = copy.deepcopy(FLOOR_ONLY)
    wrong["blocks"][0]["work"][0]["movement"] = "moon_walk"
    answer = coach.post(url(world), body(world, wrong))
    assert_problem(answer, "invalid_input", 400, at=f"#/document/blocks/0/{WORK}/0/movement")


def test_thirty_athletes_cost_as_many_queries_as_three() -> None:
    """Everything is read for all of them at once."""
    found = []
    for count in (3, 30):
        world = make_world()
        for number in range(count):
            add_athlete(world, f"Athlete {number}", 70.0)
        with CaptureQueriesContext(connection) as queries:
            answer = ApiClient(world.cast.coach.token).post(
                url(world), body(world, FLOOR_ONLY, with_athletes=True)
            )
        assert len(answer.json()["people"]) == count + 6
        found.append(len(queries))
    assert found[0] == found[1]


def long_session(items: int, rounds: int) -> dict:
    """Rounds of two movements in turn, for time."""
    listed = [("push_up", "push_up_floor"), ("sit_up", "sit_up")]
    work_ = [work(f"w{number}", *listed[number % 2], repetitions=10) for number in range(items)]
    aim = [{"kind": "time", "upper": 14_000}]
    return document(
        "Long", block("main", *work_, aim=aim, order="rounds", rounds=rounds, end={"kind": "work_done"})
    )


def test_a_session_of_many_items_is_tried_on_few(world: World, coach: ApiClient) -> None:
    """Beside the typical ones 21 have room with twelve items; of more the answer says what to do instead."""
    for number in range(22):
        add_athlete(world, f"Athlete {number}", 70.0)
    problem = assert_problem(
        coach.post(url(world), body(world, long_session(12, 20), with_athletes=True)),
        "too_many_athletes",
        422,
    )
    assert "21 athletes" in problem["detail"]
    assert "name fewer, or leave them out" in problem["detail"]
    assert coach.post(url(world), body(world, long_session(12, 1))).status_code == 200


def test_people_share_the_effort_of_one_answer(
    world: World, coach: ApiClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However many there are, and whatever the rounds: all together may simulate what one answer has."""
    given: list[float] = []
    tried = reach.work_out

    def counted(plan: SessionPlan, inputs: AthleteInputs, known: Known, **more: object) -> Worked:
        given.append(known.effort)
        return tried(plan, inputs, known, **more)

    monkeypatch.setattr(reach, "work_out", counted)
    for number in range(4):
        add_athlete(world, f"Athlete {number}", 70.0)
        given.clear()
        answer = coach.post(url(world), body(world, long_session(6, 80), with_athletes=True))
        assert answer.status_code == 200, answer.content
        assert len(given) == 6 + number + 1
        looking = 6 * reach.EFFORT_OF_AN_ITEM * len(given)
        assert sum(given) + looking <= reach.EFFORT
    codes = {code for one in answer.json()["people"] for part in one["blocks"] for code in part["reasons"]}
    assert "coarse_forecast" in codes


def test_athletes_of_whom_even_the_coarsest_costs_too_much_are_refused_in_time(
    world: World, coach: ApiClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody is begun beyond the bound, and as many as the answer says have room.

    By hand: 40 000 for two items and 800 000 each; six typical athletes, counted twice, and five others make 14.28 M.
    """
    for number in range(9):
        add_athlete(world, f"Athlete {number}", 70.0)
    tried, begun = reach.work_out, [0]

    def costly(plan: SessionPlan, inputs: AthleteInputs, known: Known, **more: object) -> Worked:
        begun[0] += 1
        return replace(tried(plan, inputs, known, **more), effort=800_000.0)

    monkeypatch.setattr(reach, "work_out", costly)
    sent = body(world, long_session(2, 5), with_athletes=True)
    problem = assert_problem(coach.post(url(world), sent), "too_many_athletes", 422)
    assert begun[0] == 6 + 5
    assert "tried on 3 athletes at once: name fewer, or leave them out" in problem["detail"]
    named = [str(one.id) for one in world.athletes.values()][:3]
    assert coach.post(url(world), {**sent, "athletes": named}).status_code == 200
    monkeypatch.setattr(reach, "ROOM_AGAIN", 0.0)
    alone = coach.post(url(world), sent)
    assert "leave the others out" in assert_problem(alone, "too_many_athletes", 422)["detail"]


@pytest.mark.parametrize(
    "rules",
    [
        {"order": "rounds", "rounds": 100, "end": {"kind": "work_done"}},
        {"order": "intervals", "intervals": {"every_s": 60, "count": 200}, "scored": "intervals",
         "end": {"kind": "work_done"}},
        {"order": "intervals", "intervals": {"every_s": 30}, "scored": "intervals",
         "end": {"kind": "fixed_time", "time_s": 14_400}},
    ],
)  # fmt: skip
def test_what_nobody_does_is_refused_before_it_is_tried(
    world: World, coach: ApiClient, rules: dict, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Hundreds of rounds or intervals of twelve items: nothing is worked out at all."""
    monkeypatch.setattr(reach, "work_out", None)
    draft = long_session(12, 1)
    draft["blocks"][0]["rules"] |= rules
    if "intervals" in rules:
        del draft["blocks"][0]["rules"]["rounds"]
        draft["blocks"][0]["aim"]["conditions"] = [{"kind": "effort", "upper": 9}]
        for one in draft["blocks"][0]["work"]:
            one["repetitions"] = 1
    answer = coach.post(url(world), body(world, draft))
    problem = assert_problem(answer, "invalid_input", 400, at="#/document/blocks")
    assert "too_many_sets" in {one["code"] for one in problem["errors"]}
