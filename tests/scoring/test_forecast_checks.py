"""What a result says of the forecast it was done under: the rows, and which of them must not count."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from programming.models import ScheduledSession
from scoring.actions.reviews import resolve_review
from scoring.actions.scores import score_attempts
from scoring.calc.held_against import draw_of
from scoring.models import Attempt, ForecastCheck, OfficialScore, Prescription, Review
from tests.scoring.known import NAME, given
from tests.scoring.sessions import block, document, place, work
from tests.scoring.several import send
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    world = make_world(starts_in=dt.timedelta(minutes=45))
    add_athlete(world, NAME, 62.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    return world


def as_told(row: Prescription, *sets: tuple[str, int, str], **more: Any) -> list[dict[str, Any]]:
    """(work, repetitions, how it ended), each in the version that is prescribed."""
    told = {one["work"]: one for one in row.content["work"]}
    return [
        {
            "work": work,
            "variation": told[work]["variation"],
            "load_kg": told[work]["load_kg"],
            "assistance_kg": told[work]["assistance_kg"],
            "height_cm": told[work]["height_cm"],
            "repetitions": count,
            "ended_by": ended_by,
            "rest_before_s": 40.0,
            **more,
        }
        for work, count, ended_by in sets
    ]


USUAL = (
    *(("a", 15, "failure"), ("b", 25, "planned"), ("a", 15, "planned"), ("b", 25, "planned"), ("a", 15, "planned")),
    *(("b", 25, "planned"), ("a", 15, "planned"), ("b", 5, "planned")),
)  # fmt: skip


def beginning_with(first: int) -> list[tuple[str, int, str]]:
    """The usual sets, all sixty rows, the first of so many to failure."""
    *between, last = USUAL[1:7]
    return [("a", first, "failure"), *between, ("a", last[1] + 15 - first, last[2]), USUAL[7]]


def report(world: World, sets: list[dict[str, Any]], *, elapsed_s: float = 700.0, **more: Any) -> str:
    now = {"performed_at": timezone.now().isoformat()}
    log = {"sets": sets, "elapsed_s": elapsed_s}
    answer = send(world, world.session, NAME, set_log=log, **{**now, **more})
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    return str(answer.json()["id"])


KEPT = (
    *("org_id", "session_id", "athlete_id", "feasible", "content", "forecast", "basis", "method_version"),
    *("fingerprint", "issued_at"),
)  # fmt: skip


def issue_again(world: World, row: Prescription, **changed: Any) -> None:
    """The same prescription with the next number, but for what is changed in it."""
    same = {name: getattr(row, name) for name in KEPT}
    with world.cast.inside():
        Prescription.objects.create(number=row.number + 1, **{**same, **changed})


def left_out(world: World) -> dict[str, str]:
    return {work: one.left_out for work, one in checks(world).items()}


def checks(world: World) -> dict[str, ForecastCheck]:
    """By work, "" for the score."""
    with world.cast.inside():
        return {row.work: row for row in ForecastCheck.objects.all()}


def test_a_result_is_held_against_its_forecast(world: World) -> None:
    """The score and the first set of each work, against what the prescription says."""
    row = given(world)
    attempt = report(world, as_told(row, *USUAL))
    found = checks(world)

    assert set(found) == {"", "a", "b"}
    assert {str(one.attempt_id) for one in found.values()} == {attempt}
    assert {one.left_out for one in found.values()} == {""}
    assert {(one.overridden, one.forecast_version) for one in found.values()} == {(False, 3)}
    with world.cast.inside():
        score = OfficialScore.objects.get()
    assert row.forecast is not None
    assert (found[""].scored, found[""].unit, found[""].movement_id) == ("time", "s", None)
    assert (found[""].done, found[""].median) == (score.value, row.forecast["score_quantiles"][10])
    assert found[""].difference == found[""].done - found[""].median
    fresh = {one["work"]: one["fresh_quantiles"] for one in row.forecast["work"]}
    assert (found["a"].kind, found["a"].done, found["a"].median) == ("shown", 15.0, fresh["a"][3])
    assert found["a"].difference == pytest.approx(15.5 - fresh["a"][3])
    draw = draw_of(world.session.id, world.athletes[NAME].id, "main", "a")
    assert found["a"].position == pytest.approx(found["a"].low + draw * (found["a"].high - found["a"].low))
    assert (found["b"].kind, found["b"].high, found["b"].difference) == ("at_least", 1.0, None)


def test_running_it_twice_changes_nothing(world: World) -> None:
    """The same rows, ids and all, also when the score is worked out anew."""
    report(world, as_told(given(world), *USUAL))

    def rows() -> list[dict[str, Any]]:
        return [{**row, "created_at": None} for row in ForecastCheck.objects.order_by("work").values()]

    with world.cast.inside():
        before = rows()
        score_attempts(athlete_id=world.athletes[NAME].id)
        assert rows() == before
        OfficialScore.objects.all().delete()
        assert score_attempts(athlete_id=world.athletes[NAME].id)
        assert rows() == before


def test_a_correction_takes_the_place_of_what_it_corrects(world: World, coach: ApiClient) -> None:
    """Twelve instead of fifteen: one row of each subject, of the version that counts."""
    row = given(world)
    first = report(world, as_told(row, *USUAL))
    before = checks(world)
    body = {
        "reason": "Miscounted.",
        "performed_at": timezone.now().isoformat(),
        "set_log": {"sets": as_told(row, ("a", 12, "failure"), ("b", 25, "planned")), "elapsed_s": 700.0},
    }
    answer = coach.post(url(world, f"attempts/{first}/corrections"), body)
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    found = checks(world)
    assert {str(one.attempt_id) for one in found.values()} == {answer.json()["id"]}
    assert found["a"].done == 12.0
    assert found["a"].position < before["a"].position


def test_another_version_counts_nothing_of_what_was_foreseen(world: World) -> None:
    """Half the load prescribed for the squats: neither their first set nor the score; the rows are as told."""
    sets = as_told(given(world), *USUAL)
    squats = [one for one in sets if one["work"] == "b"]
    for one in squats:
        one["load_kg"] = (one["load_kg"] or 0.0) + 8.0
        one["variation"] = "goblet_squat"
    report(world, sets)
    assert left_out(world) == {
        "": "other_version", "a": "", "b": "other_version",
    }  # fmt: skip


def test_pain_leaves_the_score_and_its_own_set_out(world: World) -> None:
    row = given(world)
    report(world, as_told(row, ("a", 15, "pain"), *USUAL[1:]))
    assert left_out(world) == {"": "pain", "b": ""}


def test_what_was_made_after_the_result_or_replaced_before_it_does_not_count(world: World) -> None:
    """Done before it was issued; and done when a newer one had been there for an hour."""
    row = given(world)
    long_ago = (timezone.now() - dt.timedelta(hours=2)).isoformat()
    report(world, as_told(row, *USUAL), performed_at=long_ago)
    assert {one.left_out for one in checks(world).values()} == {"made_afterwards"}


def test_a_newer_prescription_leaves_the_older_one_out(world: World) -> None:
    row = given(world)
    issue_again(world, row)
    report(world, as_told(row, *USUAL), prescription=str(row.id))
    assert {one.left_out for one in checks(world).values()} == {"replaced"}


def test_what_nobody_believes_does_not_count_until_somebody_does(world: World) -> None:
    """A set that cannot be waits for a review; accepted, it counts, and refused it does not."""
    report(world, as_told(given(world), ("a", 600, "failure"), *USUAL[1:]))
    assert {one.left_out for one in checks(world).values()} == {"not_believed"}
    actor = world.cast.coach.actor
    assert actor is not None
    with world.cast.inside():
        review = Review.objects.get()
        resolve_review(
            actor=actor, review=review, version=review.version, accepted=True, resolution="I saw it."
        )
    drain(world.cast)
    assert {one.left_out for one in checks(world).values()} == {""}
    assert checks(world)["a"].low == 0.975


def test_a_forecast_without_the_ends_is_left_out(world: World) -> None:
    """As version 2 wrote it: its score still has a place, and its first sets none."""
    row = given(world)
    assert row.forecast is not None
    old = {**row.forecast, "version": 2, "score_quantiles": row.forecast["score_quantiles"][1:-1]}
    old["work"] = [{key: part[key] for key in part if key != "fresh_quantiles"} for part in old["work"]]
    issue_again(world, row, forecast=old)
    report(world, as_told(row, *USUAL))
    assert left_out(world) == {"": "older_forecast"}


def test_a_result_without_a_prescription_says_nothing_of_forecasts(world: World) -> None:
    """Somebody who has none yet: no rows, and a score all the same."""
    add_athlete(world, "Idris Vane", 84.0)
    sets = as_told(given(world), *USUAL)
    answer = send(world, world.session, "Idris Vane", set_log={"sets": sets, "elapsed_s": 700.0})
    assert answer.status_code == 201
    drain(world.cast)
    with world.cast.inside():
        assert Attempt.objects.get().prescription_id is None
        assert OfficialScore.objects.count() == 1
        assert not ForecastCheck.objects.exists()


def test_the_first_set_of_a_work_is_fresh_in_whatever_order(world: World) -> None:
    """Squats before rows."""
    row = given(world)
    swapped = (USUAL[1], USUAL[0], *USUAL[2:])
    report(world, as_told(row, *swapped))
    assert left_out(world) == {"": "", "a": "", "b": ""}


def test_what_the_plan_foresees_tired_is_not_fresh(world: World) -> None:
    """The middle scenario begins the squats with five of twenty-four: their first set is none of a fresh athlete."""
    row = given(world)
    assert row.forecast is not None
    tired = [{**one, "available": 5.0} if one["work"] == "b" else one for one in row.forecast["plan"]]
    issue_again(world, row, forecast={**row.forecast, "plan": tired})
    report(world, as_told(row, *USUAL))
    assert left_out(world) == {"": "", "a": "", "b": "not_fresh"}


def test_other_amounts_than_prescribed_leave_the_score_out(world: World) -> None:
    """Forty rows are prescribed and sixty done, as written: a first set is the same, a score is not."""
    row = given(world)
    work = [
        {**one, "repetitions": 40, "amount_as_written": False} if one["work"] == "a" else one
        for one in row.content["work"]
    ]
    issue_again(world, row, content={**row.content, "work": work})
    report(world, as_told(row, *USUAL))
    assert left_out(world) == {"": "other_amounts", "a": "", "b": ""}


def test_what_a_coach_prescribed_is_marked(world: World) -> None:
    row = given(world)
    told = {"override": "1", "person": "2", "reason": "Knows best.", "acknowledged": []}
    issue_again(world, row, content={**row.content, "overridden_by": told})
    report(world, as_told(row, *USUAL))
    assert {(one.overridden, one.left_out) for one in checks(world).values()} == {(True, "")}


def test_totals_are_believed_to_be_of_the_prescription(world: World) -> None:
    """Unless they name another version; they have no first set."""
    totals = {"elapsed_s": 700.0, "breaks": 2, "work": [
        {"work": "a", "repetitions": 60}, {"work": "b", "repetitions": 80},
    ]}  # fmt: skip
    now = timezone.now().isoformat()
    assert send(world, world.session, NAME, totals=totals, performed_at=now).status_code == 201
    drain(world.cast)
    assert left_out(world) == {"": ""}
    assert checks(world)[""].done == 740.0


def test_over_http_a_correction_moves_the_summary(world: World, coach: ApiClient) -> None:
    """Two athletes with 18 and 16 rows; the second is corrected to 8, half of which the mean goes down."""
    other = add_athlete(world, "Idris Vane", 84.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    with world.cast.inside():
        theirs = Prescription.objects.filter(athlete=other).latest("number")
    report(world, as_told(given(world), *beginning_with(18)))
    log = {"sets": as_told(theirs, *beginning_with(16)), "elapsed_s": 700.0}
    now = timezone.now().isoformat()
    sent = send(world, world.session, "Idris Vane", set_log=log, performed_at=now)
    assert sent.status_code == 201
    drain(world.cast)

    def rows() -> dict[str, Any]:
        found = coach.get(url(world, "forecast-checks")).json()
        assert [one["results"] for one in found["movements"]] == [2, 2]
        assert [(one["scored"], one["results"]) for one in found["scores"]] == [("time", 2)]
        assert found["left_out"] == []
        return next(one for one in found["movements"] if not one["at_least"])

    before = rows()
    log["sets"] = as_told(theirs, *beginning_with(8))
    body = {"reason": "Miscounted.", "performed_at": now, "set_log": log}
    answer = coach.post(url(world, f"attempts/{sent.json()['id']}/corrections"), body)
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    after = rows()
    assert after["bias"]["mean"] == pytest.approx(before["bias"]["mean"] - 4.0, abs=0.011)
    assert after["position"]["mean"] < before["position"]["mean"]
    path = url(world, f"athletes/{other.id}/forecast-checks")
    found = [one for one in coach.get(path).json()["items"] if one["work"] == "a"]
    assert [(one["done"], one["attempt"]) for one in found] == [(8.0, answer.json()["id"])]


ROWS = block(
    "main",
    work("r", "horizontal_row", "row_45", repetitions=36),
    aim=[{"kind": "time", "lower": 60, "upper": 1800}],
)
SQUATS = block(
    "after",
    work("s", "squat", "goblet_squat", load_kg=12, repetitions=20),
    work("t", "horizontal_row", "row_45", repetitions=20),
    aim=[{"kind": "time", "lower": 60, "upper": 1800}],
)


def placed(world: World, *blocks: dict[str, Any]) -> tuple[ScheduledSession, Prescription]:
    """A session in fifty minutes, and what it prescribes."""
    session = place(world, document("Of its own", *blocks), dt.timedelta(minutes=50))
    drain(world.cast)
    with world.cast.inside():
        return session, Prescription.objects.filter(session=session).latest("number")


def test_a_correction_leaves_other_sessions_alone(world: World, coach: ApiClient) -> None:
    """And newer prescriptions of another session replace none of this one."""
    other, there = placed(world, ROWS)
    same = {name: getattr(there, name) for name in KEPT}
    with world.cast.inside():
        for more in range(1, 11):
            Prescription.objects.create(number=there.number + more, **same)
    first = report(world, as_told(given_in(world, world.session), *USUAL))
    assert left_out(world) == {"": "", "a": "", "b": ""}
    log = {
        "sets": as_told(there, ("r", 12, "planned"), ("r", 12, "planned"), ("r", 12, "planned")),
        "elapsed_s": 400.0,
    }
    assert send(world, other, NAME, set_log=log, performed_at=timezone.now().isoformat()).status_code == 201
    drain(world.cast)
    with world.cast.inside():
        before = set(ForecastCheck.objects.filter(session=other).values_list("id", flat=True))
    assert before
    body = {
        "reason": "Miscounted.",
        "performed_at": timezone.now().isoformat(),
        "set_log": {
            "sets": as_told(given_in(world, world.session), ("a", 12, "failure")),
            "elapsed_s": 700.0,
        },
    }
    assert coach.post(url(world, f"attempts/{first}/corrections"), body).status_code == 201
    drain(world.cast)
    with world.cast.inside():
        assert set(ForecastCheck.objects.filter(session=other).values_list("id", flat=True)) == before


def test_of_two_blocks_each_is_left_out_for_itself(world: World) -> None:
    """Pain in the second takes the score of that one; rows that were done in the first are not fresh in it."""
    session, row = placed(world, ROWS, SQUATS)
    rows = as_told(row, ("r", 12, "planned"), ("r", 12, "planned"), ("r", 12, "planned"))
    after = as_told(row, ("s", 20, "planned"), ("t", 5, "pain"))
    blocks = [
        {"block": "main", "set_log": {"sets": rows, "elapsed_s": 400.0}},
        {"block": "after", "set_log": {"sets": after, "elapsed_s": 300.0}},
    ]
    answer = send(world, session, NAME, blocks=blocks, performed_at=timezone.now().isoformat())
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    with world.cast.inside():
        found = {(one.block, one.work): one.left_out for one in ForecastCheck.objects.filter(session=session)}
    assert found["main", ""] == "" and found["main", "r"] == ""
    assert found.get(("after", ""), "pain") == "pain"
    assert ("after", "t") not in found  # ended by pain

    other, there = placed(world, ROWS, SQUATS)
    blocks[1]["set_log"] = {
        "sets": as_told(there, ("s", 20, "planned"), ("t", 20, "failure")),
        "elapsed_s": 300.0,
    }
    blocks[0]["set_log"] = {"sets": as_told(there, *[("r", 12, "planned")] * 3), "elapsed_s": 400.0}
    answer = send(world, other, NAME, blocks=blocks, performed_at=timezone.now().isoformat())
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    with world.cast.inside():
        found = {(one.block, one.work): one.left_out for one in ForecastCheck.objects.filter(session=other)}
    assert found["after", "t"] == "not_fresh", found


def given_in(world: World, session: ScheduledSession) -> Prescription:
    with world.cast.inside():
        return Prescription.objects.filter(session=session).latest("number")
