"""Wellness over HTTP: forms, answers, who reads them, and what is unusual of one athlete."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.wellness import answer_form, set_form
from athletes.api.wellness_examples import FORM_INPUT
from athletes.models import WellnessAnswer, WellnessForm
from services.tenancy.actor import Role
from tests.athletes.conftest import NOW, TODAY, Team, days_ago
from tests.support.api import assert_problem

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.urls("tests.athletes.urls"),
    pytest.mark.usefixtures("at_now"),
]

SLEEP = FORM_INPUT["items"][0]
ANSWER = {"form": "morning", "local_date": TODAY.isoformat(), "answers": {"sleep": 4, "heavy_legs": 3}}


@pytest.fixture
def asked(team: Team) -> Team:
    with team.cast.inside():
        set_form(actor=team.cast.coach.actor, **FORM_INPUT)
    return team


def answer(team: Team, days: int, **answers: float) -> WellnessAnswer:
    """Inside the organisation."""
    return answer_form(
        actor=team.cast.coach.actor,
        athlete=team.ayo,
        form_key="morning",
        day=days_ago(days).date(),
        answers=answers,
        now=NOW,
    )[0]


def wellness(team: Team, **query: str):
    client = team.client(team.cast.coach)
    return client.get(team.path(f"athletes/{team.ayo.id}/wellness"), query={"form": "morning", **query})


def test_a_form_has_versions_and_the_newest_is_asked(asked: Team):
    """What was answered under an earlier one stays; an item on another scale is another item."""
    client = asked.client(asked.cast.coach)
    with asked.cast.inside():
        answer(asked, 2, sleep=4, heavy_legs=3)
    changed = {**FORM_INPUT, "items": [SLEEP, {**FORM_INPUT["items"][1], "most": 5.0}]}
    assert client.post(asked.path("wellness-forms"), changed).json()["number"] == 2
    assert [one["number"] for one in client.get(asked.path("wellness-forms")).json()["items"]] == [2, 1]
    told = wellness(asked).json()
    assert told["form_number"] == 2
    assert [(one["item"], one["answers"]) for one in told["items"]] == [("sleep", 1), ("heavy_legs", 0)]


@pytest.mark.parametrize(
    ("change", "at"),
    [
        ({"items": []}, "#/items"),
        ({"items": [SLEEP, SLEEP]}, "#/items/1/key"),
        ({"items": [{**SLEEP, "most": 1.0}]}, "#/items/0/most"),
        ({"items": [{**SLEEP, "step": 0.7}]}, "#/items/0/step"),
        ({"items": [{**SLEEP, "most": 900.0}]}, "#/items/0/step"),
        ({"items": [{**SLEEP, "better": "up"}]}, "#/items/0/better"),
        ({"items": [{**SLEEP, "step": 0}]}, "#/items/0/step"),
    ],
)
def test_forms_that_cannot_be_answered(team: Team, change, at):
    refused = team.client(team.cast.coach).post(team.path("wellness-forms"), {**FORM_INPUT, **change})
    assert_problem(refused, "invalid_input", 400, at=at)
    with team.cast.inside():
        assert not WellnessForm.objects.exists()


@pytest.mark.parametrize(
    ("change", "at"),
    [
        ({"answers": {}}, "#/answers"),
        ({"answers": {"mood": 3}}, "#/answers/mood"),
        ({"answers": {"sleep": 6}}, "#/answers/sleep"),
        ({"answers": {"sleep": 2.5}}, "#/answers/sleep"),
        ({"answers": {"sleep": "4"}}, "#/answers/sleep"),
        ({"answers": {"sleep": True}}, "#/answers/sleep"),
        ({"answers": {"sleep": None}}, "#/answers/sleep"),
        ({"form": "evening"}, "#/form"),
        ({"local_date": "2030-03-21"}, "#/local_date"),
        ({"local_date": "2010-03-21"}, "#/local_date"),
    ],
)
def test_answers_that_cannot_be_meant(asked: Team, change, at):
    client = asked.client(asked.cast.coach)
    refused = client.post(asked.path(f"athletes/{asked.ayo.id}/wellness-answers"), {**ANSWER, **change})
    assert_problem(refused, "invalid_input", 400, at=at)
    with asked.cast.inside():
        assert not WellnessAnswer.objects.exists()


def test_a_day_is_answered_once_and_corrected(asked: Team):
    """The same again is the same, something else is refused; If-Match as elsewhere."""
    client, path = asked.client(asked.cast.athlete), asked.path(f"athletes/{asked.ayo.id}/wellness-answers")
    made, again = client.post(path, ANSWER), client.post(path, ANSWER)
    assert (made.status_code, again.status_code) == (201, 200) and made.json() == again.json()
    other = {**ANSWER, "answers": {"sleep": 1}}
    assert_problem(client.post(path, other), "already_answered", 409)
    place, tag = made.headers["Location"], made.headers["ETag"]
    changed = client.patch(place, {"answers": {"sleep": 1}}, if_match=tag)
    assert changed.json()["answers"] == {"sleep": 1.0} == client.get(place).json()["answers"]
    assert_problem(client.patch(place, {"answers": {"sleep": 2}}, if_match=tag), "precondition_failed", 412)
    wrong = client.patch(place, {"answers": {"sleep": 9}}, if_match=changed.headers["ETag"])
    assert_problem(wrong, "invalid_input", 400, at="#/answers/sleep")
    assert client.delete(place, if_match=changed.headers["ETag"]).status_code == 204


@pytest.mark.parametrize(
    ("role", "status"),
    [(Role.OWNER, 200), (Role.COACH, 200), (Role.LOCATION_STAFF, 403), (Role.ATHLETE, 200)],
)
def test_who_reads_answers(asked: Team, role, status):
    """Those who read the answers of a screening; staff of the location do not."""
    with asked.cast.inside():
        row = answer(asked, 1, sleep=2)
    client, path = asked.client(asked.cast.members[role]), asked.path(f"athletes/{asked.ayo.id}")
    for below in ("wellness-answers", f"wellness-answers/{row.id}", "wellness?form=morning"):
        assert client.get(f"{path}/{below}").status_code == status, below


def test_below_35_answers_nothing_is_unusual(asked: Team):
    with asked.cast.inside():
        for days in range(1, 35):
            answer(asked, days, sleep=3 + days % 2)
    told = wellness(asked).json()
    sleep = told["items"][0]
    assert (sleep["answers"], sleep["baseline"], sleep["baseline_reason"]) == (34, None, "fewer_than_35_days")
    assert (sleep["side"], sleep["unusually_bad"], told["false_flags_per_week"]) == (None, None, 0.0)


def test_a_bad_week_is_unusual_by_the_direction_of_each_item(asked: Team):
    """Sleep is bad at the low end, heavy legs at the high one: the same numbers, each on its own side."""
    with asked.cast.inside():
        for days in range(8, 60):
            answer(asked, days, sleep=3 + days % 2, heavy_legs=3 + days % 2)
        for days in range(1, 8):
            answer(asked, days, sleep=1, heavy_legs=1)
    told = wellness(asked).json()
    sleep, legs = told["items"]
    assert (sleep["side"], sleep["unusually_bad"]) == ("low", True)
    assert (legs["side"], legs["unusually_bad"]) == ("low", False)
    baseline = sleep["baseline"]
    assert (
        baseline["centre"] == 3.5 and baseline["upper"] - baseline["centre"] >= 1.0 <= baseline["sum_limit"]
    )
    expected = sum(one["baseline"]["false_flags_per_week"] for one in told["items"])
    assert told["false_flags_per_week"] == pytest.approx(expected)
    assert wellness(asked).json() == told
    before = wellness(asked, on=days_ago(8).date().isoformat()).json()["items"][0]
    assert (before["side"], before["answers"]) == (None, 52)


def test_answers_of_long_ago_say_nothing_of_today(asked: Team):
    with asked.cast.inside():
        for days in range(7, 60):
            answer(asked, days, sleep=3 + days % 2)
    sleep = wellness(asked).json()["items"][0]
    assert (sleep["baseline"], sleep["baseline_reason"]) == (None, "no_answer_within_7_days")
    assert sleep["newest_answer"]["local_date"] == days_ago(7).date().isoformat()


@pytest.mark.parametrize("query", [{}, {"form": "evening"}, {"form": "morning", "on": "2030-03-21"}])
def test_what_no_wellness_answers(asked: Team, query):
    client = asked.client(asked.cast.coach)
    refused = client.get(asked.path(f"athletes/{asked.ayo.id}/wellness"), query=query)
    assert_problem(refused, "invalid_input", 400)


@pytest.mark.parametrize("below", ["wellness-forms", "wellness-answers"])
def test_lists_cost_the_same_for_three_rows_as_for_thirty(team: Team, below):
    """No query for each row."""
    client = team.client(team.cast.coach)
    path = team.path(below if below == "wellness-forms" else f"athletes/{team.ayo.id}/{below}")
    with team.cast.inside():
        set_form(actor=team.cast.coach.actor, **FORM_INPUT)
    client.get(path)  # the first use of a token is written down
    counts = []
    for days in (range(1, 4), range(4, 31)):
        with team.cast.inside():
            for n in days:
                if below == "wellness-forms":
                    set_form(actor=team.cast.coach.actor, **{**FORM_INPUT, "key": f"form-{n}"})
                else:
                    answer(team, n, sleep=3)
        with CaptureQueriesContext(connection) as queries:
            items = client.get(path).json()["items"]
        counts.append((len(queries), len(items)))
    assert counts[1][1] - counts[0][1] == 27
    assert counts[0][0] == counts[1][0]
