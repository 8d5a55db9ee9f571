"""What if: another version, amount or pacing, worked out for one athlete and never stored."""

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from scoring.models import Override, Prescription
from services.changes.models import Change
from tests.scoring.known import NAME, given, known_world
from tests.support.api import ApiClient, assert_problem
from tests.support.pointers import WORK
from tests.support.world import World, drain, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    return known_world()


def ask(world: World, coach: ApiClient, **body: Any) -> Any:
    return coach.post(url(world, f"prescriptions/{given(world).id}/what-if"), body)


def told(world: World, coach: ApiClient, **body: Any) -> dict[str, Any]:
    answer = ask(world, coach, **body)
    assert answer.status_code == 200, answer.json()
    found: dict[str, Any] = answer.json()
    return found


def test_nothing_else_is_what_is_prescribed(world: World, coach: ApiClient) -> None:
    """With nothing changed it says what the prescription says, paced as well as may be."""
    found, content = told(world, coach), given(world).content
    assert [one["variation"] for one in found["work"]] == [one["variation"] for one in content["work"]]
    # Paced by the same draws as what was prescribed: else a coach would take the difference for that of a change.
    assert found["content"]["expected"]["score"] == content["expected"]["score"]
    assert found["against"] == []


def test_nothing_is_stored(world: World, coach: ApiClient) -> None:
    with world.cast.inside():
        before = [model.objects.count() for model in (Prescription, Override)]
        changes = list(Change.objects.order_by("id").values_list("id", "version"))
    told(world, coach, pacing=[{"share": 0.5, "rest_s": 60}])
    with world.cast.inside():
        assert [model.objects.count() for model in (Prescription, Override)] == before
        assert list(Change.objects.order_by("id").values_list("id", "version")) == changes


def test_less_work_is_sooner_done_and_longer_rests_later(world: World, coach: ApiClient) -> None:
    best = told(world, coach)["content"]["expected"]["score"]["p50"]
    work = [{"work": "a", "variation": given(world).content["work"][0]["variation"], "repetitions": 30}]
    less = told(world, coach, work=work)["content"]
    assert less["expected"]["score"]["p50"] < best
    slow = told(world, coach, pacing=[{"share": 0.5, "rest_s": 60}])
    assert [(one["share"], one["rest_s"]) for one in slow["pacing"]] == [(0.5, 60.0)]
    # As well as may be is no worse than any other way (within what the draws leave open).
    assert slow["content"]["expected"]["score"]["p50"] > best


def test_what_an_override_would_be_asked(world: World, coach: ApiClient) -> None:
    """Far more than can be done is worked out all the same, and what an override would ask stands beside it."""
    work = [{"work": "b", "variation": "goblet_squat", "load_kg": 16, "repetitions": 2000}]
    found = told(world, coach, work=work)
    assert "beyond_capacity:b" in {one["code"] for one in found["against"]}
    assert all(one["sentence"] for one in found["against"])


def test_the_profile_comes_with_it(world: World, coach: ApiClient) -> None:
    """Sets to a fifth of what is available stop far short of it: neither strength nor endurance."""
    found = told(world, coach, pacing=[{"share": 0.2, "rest_s": 30}])
    whole = found["profile"]["whole"]
    assert whole["sets"] == len(found["content"]["plan"])
    assert (whole["trains_reason"], whole["differs"]) == ("sets_stopped_early", None)


def test_a_prescription_that_was_replaced_supposes_nothing(world: World, coach: ApiClient) -> None:
    old = url(world, f"prescriptions/{given(world).id}/what-if")
    body = {"work": [], "reason": "As it is.", "acknowledged": []}
    made = coach.post(url(world, f"prescriptions/{given(world).id}/overrides"), body)
    assert made.status_code == 201, made.json()
    assert_problem(coach.post(old, {}), "prescription_superseded", 409)


@pytest.mark.parametrize(("body", "at"), [
    ({"work": [{"work": "z", "variation": "row_45"}]}, f"#/{WORK}/0/{WORK}"),
    ({"work": [{"work": "a", "variation": "goblet_squat"}]}, f"#/{WORK}/0"),
    ({"pacing": [{"share": 0.1, "rest_s": 30}]}, "#/pacing/0/share"),
    ({"pacing": [{"share": 0.5}]}, "#/pacing/0/rest_s"),
    ({"pacing": [{"block": "z", "share": 0.5, "rest_s": 30}]}, "#/pacing/0/block"),
    ({"pacing": [{"share": 0.5, "rest_s": 30}, {"share": 0.6, "rest_s": 30}]}, "#/pacing/1"),
])  # fmt: skip
def test_what_cannot_be_supposed(world: World, coach: ApiClient, body: dict[str, Any], at: str) -> None:
    assert_problem(ask(world, coach, **body), "invalid_input", 400, at=at)


def test_after_pain_nobody_reads_what_might_be_done(world: World, coach: ApiClient) -> None:
    athlete = world.athletes[NAME]
    body = {"kind": "pain", "site": "shoulder", "side": "left", "severity": 8}
    assert coach.post(url(world, f"athletes/{athlete.id}/reports"), body).status_code == 201
    assert_problem(ask(world, coach), "held_for_safety", 422)
    (problem,) = ask(world, coach).json()["errors"]
    assert problem["pointer"] == "#" and "hold-releases" in problem["detail"], problem
    drain(world.cast)  # the prescription is empty now, and so names no work any more
    assert_problem(ask(world, coach), "held_for_safety", 422)


def test_an_override_does_not_hide_what_another_would_be_asked(world: World, coach: ApiClient) -> None:
    """What speaks against more is measured by what was worked out, not by what a coach has given meanwhile."""
    athlete = world.athletes[NAME]
    born = timezone.now().date() - dt.timedelta(days=15 * 365)
    with world.cast.inside():
        type(athlete).objects.filter(id=athlete.id).update(born_on=born)
    work = [{"work": "b", "variation": "goblet_squat", "load_kg": 24}]
    before = {one["code"] for one in told(world, coach, work=work)["against"]}
    assert "minor" in before
    made = coach.post(
        url(world, f"prescriptions/{given(world).id}/overrides"),
        {"work": work, "reason": "She asked for it.", "acknowledged": sorted(before)},
    )
    assert made.status_code == 201, made.json()
    assert {one["code"] for one in told(world, coach, work=work)["against"]} == before


def test_nobody_paces_to_failure_who_must_not(world: World, coach: ApiClient) -> None:
    """In the first week of a return no set goes to failure: the share that was asked for is cut, and said."""
    body = {"from_date": day(40), "to_date": day(1)}
    sent = coach.post(url(world, f"athletes/{world.athletes[NAME].id}/absences"), body)
    assert sent.status_code == 201, sent.json()
    drain(world.cast)
    found = told(world, coach, pacing=[{"share": 1.0, "rest_s": 60}])
    assert [one["share"] for one in found["pacing"]] == [0.8]


def day(ago: int) -> str:
    return (timezone.now().date() - dt.timedelta(days=ago)).isoformat()
