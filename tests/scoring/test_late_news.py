"""Results and what becomes known only after them: a weighing, a reviewer's word."""

import datetime as dt

import pytest
import time_machine
from django.utils import timezone

from athletes.actions.body_masses import record_body_mass
from athletes.models import Capacity, Observation
from programming.actions import templates
from programming.actions.sessions import cancel_session
from programming.calc.document import parse_revision
from programming.models import ScheduledSession
from scoring.actions.attempts import Report, submit_attempt
from scoring.actions.reviews import resolve_review
from scoring.calc import score as calc
from scoring.calc.attempt import Totals
from scoring.errors import ResultExists
from scoring.models import Attempt, OfficialScore, Ranking, Review
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

SETS = [
    {"work": "a", "variation": "row_45", "repetitions": 20, "ended_by": "failure"},
    {"work": "b", "variation": "goblet_squat", "load_kg": 16.0, "repetitions": 40, "ended_by": "planned"},
    {"work": "a", "variation": "row_45", "repetitions": 40, "ended_by": "planned"},
    {"work": "b", "variation": "goblet_squat", "load_kg": 16.0, "repetitions": 40, "ended_by": "planned"},
]


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Tove Ash")
    drain(world.cast)
    return world


def submit(world: World, elapsed_s: float = 600.0, who: str = "Tove Ash", **fields: object) -> Attempt:
    data = {"sets": SETS, "elapsed_s": elapsed_s}
    when = timezone.now() - dt.timedelta(minutes=3)
    values = {"kind": "set_log", "data": data, "as_sent": {"set_log": data}, "client_id": None}
    with world.cast.inside():
        attempt, _ = submit_attempt(
            actor=world.cast.coach.actor,
            session_id=world.session.id,
            athlete_id=world.athletes[who].id,
            report=Report(**{"performed_at": when, **values, **fields}),
        )
    drain(world.cast)
    return attempt


def official(world: World) -> dict:
    with world.cast.inside():
        (row,) = Ranking.objects.get(session=world.session).official
    return row


def weigh(world: World) -> None:
    now = timezone.now()
    with world.cast.inside():
        record_body_mass(
            actor=world.cast.coach.actor,
            athlete=world.athletes["Tove Ash"],
            body_mass_kg=66.0,
            measured_at=now,
            now=now,
        )
    drain(world.cast)


def test_sets_before_the_first_weighing_tell_after_it(world: World) -> None:
    """The score needs no body mass and is ranked at once; capacity follows with the weighing, and the review."""
    attempt = submit(world)
    assert official(world)["rank"] == 1
    with world.cast.inside():
        review = Review.objects.get(attempt=attempt)
        assert [found["code"] for found in review.findings] == ["body_mass_missing"]
        assert Observation.objects.filter(source_id=attempt.id).count() == 3
        assert not Capacity.objects.exists()
    weigh(world)
    with world.cast.inside():
        learned = Capacity.objects.values_list("movement__key", "observations")
        assert sorted(learned) == [("horizontal_row", 2), ("squat", 1)]
        review.refresh_from_db()
        assert (review.accepted, review.resolved_by) == (True, None)
    assert (official(world)["rank"], official(world)["under_review"]) == (1, False)


def test_a_weighing_does_not_settle_another_doubt(world: World) -> None:
    """140 repetitions in 20 s stay with a person, whatever the body mass."""
    attempt = submit(world, 20.0)
    weigh(world)
    with world.cast.inside():
        assert Review.objects.get(attempt=attempt).resolved_at is None
        assert not Observation.objects.filter(source_id=attempt.id).exists()
        assert OfficialScore.objects.get(attempt=attempt).score_s is not None


def test_a_weighing_accepts_nothing_beyond_belief(world: World) -> None:
    """Weighed before or after, the same result waits with the same findings and tells nothing."""
    sets = [{**one, "load_kg": 400.0} if one["work"] == "b" else one for one in SETS]
    data = {"sets": sets, "elapsed_s": 600.0}
    late = submit(world, data=data, as_sent={"set_log": data})
    with world.cast.inside():
        asked = [found["code"] for found in Review.objects.get(attempt=late).findings]
        assert "body_mass_missing" in asked
    weigh(world)
    with world.cast.inside():
        review = Review.objects.get(attempt=late)
        assert [found["code"] for found in review.findings] == ["implausible_performance"]
        assert (review.resolved_at, review.accepted) == (None, None)
        assert not Observation.objects.filter(source_id=late.id).exists()
        assert not Capacity.objects.exists()
    add_athlete(world, "Runa Falk", 66.0)
    world.athletes["Tove Ash"] = world.athletes["Runa Falk"]
    early = submit(world, data=data, as_sent={"set_log": data})
    with world.cast.inside():
        assert Review.objects.get(attempt=early).findings == review.findings


def test_nobody_believes_a_result_of_their_own(world: World) -> None:
    """A coach who trains is asked like anybody else, and another one answers."""
    weigh(world)
    attempt = submit(world, 20.0)
    with world.cast.inside():
        world.athletes["Tove Ash"].person = world.cast.coach.person
        world.athletes["Tove Ash"].save()
        review = Review.objects.get(attempt=attempt)
    path = f"/api/v1/organisations/{world.cast.org.id}/reviews/{review.id}"
    word = {"accepted": True, "resolution": "I was there."}
    coach, owner = ApiClient(world.cast.coach.token), ApiClient(world.cast.owner.token)
    tag = owner.get(path).headers["ETag"]
    refused = coach.patch(path, word, if_match=tag)
    assert_problem(refused, "own_result", 403)
    with world.cast.inside():
        assert Review.objects.get(attempt=attempt).resolved_at is None
    assert owner.patch(path, word, if_match=tag).status_code == 200


def test_the_score_stays_while_a_verdict_is_worked_out(world: World) -> None:
    """Until the recompute has run, and if it never did, the official score is the one that stood."""
    weigh(world)
    attempt = submit(world, 20.0)
    with world.cast.inside():
        before = OfficialScore.objects.get(attempt=attempt)
        review = Review.objects.get(attempt=attempt)
        resolve_review(
            actor=world.cast.coach.actor,
            review=review,
            version=review.version,
            accepted=True,
            resolution="Minutes were meant; the rest was seen.",
        )
        assert OfficialScore.objects.get(attempt=attempt).score_s == before.score_s
        assert not Observation.objects.filter(source_id=attempt.id).exists()
    drain(world.cast)
    with world.cast.inside():
        after = OfficialScore.objects.get(attempt=attempt)
        assert (after.id, after.score_s, after.review_version) == (before.id, before.score_s, review.version)
        assert Observation.objects.filter(source_id=attempt.id).count() == 3
    assert official(world)["rank"] == 1


@pytest.mark.parametrize(
    ("starts_in", "codes"),
    [
        (dt.timedelta(days=2), []),
        (dt.timedelta(days=4), ["before_the_session"]),
        (dt.timedelta(days=5), ["before_the_session"]),
        (dt.timedelta(days=7), ["long_before_session"]),
        (dt.timedelta(days=-5), []),
        (dt.timedelta(days=-7), ["long_after_session"]),
    ],
)
def test_a_result_of_another_week_is_asked_about(
    world: World, starts_in: dt.timedelta, codes: list[str]
) -> None:
    """Another day of the week is nothing; another week is stored, ranked, and waits for a question."""
    weigh(world)
    with world.cast.inside():
        ScheduledSession.objects.filter(id=world.session.id).update(starts_at=timezone.now() + starts_in)
    attempt = submit(world)
    with world.cast.inside():
        found = Review.objects.filter(attempt=attempt).values_list("findings", flat=True)
        assert [one["code"] for findings in found for one in findings] == codes
        assert Observation.objects.filter(source_id=attempt.id).exists()
    assert (official(world)["rank"], official(world)["under_review"]) == (1, bool(codes))


def at(world: World, starts_in: dt.timedelta) -> None:
    with world.cast.inside():
        ScheduledSession.objects.filter(id=world.session.id).update(starts_at=timezone.now() + starts_in)


def test_what_was_sent_ahead_keeps_no_result_out(world: World) -> None:
    """The result of the session itself replaces it, and nothing that was told of the other goes on with it."""
    weigh(world)
    at(world, dt.timedelta(days=4))
    ahead = submit(world, 500.0, note="Wrong class.", effort=3.0)
    with pytest.raises(ResultExists):
        submit(world, 510.0)  # the session is still to come
    at(world, dt.timedelta(hours=13))
    with time_machine.travel(timezone.now() + dt.timedelta(hours=14)):
        real = submit(world, 530.0)
    assert (real.replaces_id, real.note, real.effort) == (ahead.id, "", None)


def test_a_result_of_a_cancelled_session_is_asked_about(world: World) -> None:
    """Somebody may have trained all the same: it is stored and ranked, and a person looks."""
    weigh(world)
    with world.cast.inside():
        cancel_session(actor=world.cast.coach.actor, session=world.session)
    attempt = submit(world)
    with world.cast.inside():
        (finding,) = Review.objects.get(attempt=attempt).findings
        assert finding["code"] == "session_cancelled"
    assert official(world)["rank"] == 1


def test_a_session_is_scored_by_the_rules_that_it_was_published_under(
    db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The version is the revision's, not the newest of the code, and one that is not known is not guessed."""
    monkeypatch.setattr(templates, "RULES_VERSION", 7)
    world = make_world()
    add_athlete(world, "Tove Ash", 66.0)
    monkeypatch.setattr(calc, "KNOWN_RULES", frozenset({1, 7}))
    drain(world.cast)
    attempt = submit(world)
    with world.cast.inside():
        assert OfficialScore.objects.get(attempt=attempt).rules_version == 7
    monkeypatch.undo()
    block = parse_revision(world.revision.document).blocks[0]
    with pytest.raises(ValueError, match="version 7"):
        calc.official_score(block, Totals(600.0, 3, (("a", 60), ("b", 80))), rules_version=7)


def test_that_another_result_was_accepted_says_nothing_of_this_one(world: World) -> None:
    weigh(world)
    at(world, dt.timedelta(days=4))
    add_athlete(world, "Idris Vane", 80.0)
    ahead, other = submit(world, 500.0), submit(world, 520.0, who="Idris Vane")
    with world.cast.inside():
        accept(world, Review.objects.get(attempt=other))
    at(world, dt.timedelta(hours=13))
    with time_machine.travel(timezone.now() + dt.timedelta(hours=14)):
        assert submit(world, 530.0).replaces_id == ahead.id


def test_an_accepted_result_from_ahead_is_never_replaced_unasked(world: World) -> None:
    weigh(world)
    at(world, dt.timedelta(days=4))
    ahead = submit(world, 500.0)
    with world.cast.inside():
        accept(world, Review.objects.get(attempt=ahead))
    at(world, dt.timedelta(hours=13))
    with time_machine.travel(timezone.now() + dt.timedelta(hours=14)), pytest.raises(ResultExists):
        submit(world, 530.0)
    with world.cast.inside():
        assert Attempt.objects.get().id == ahead.id


def accept(world: World, review: Review) -> None:
    resolve_review(
        actor=world.cast.coach.actor, review=review, version=review.version, accepted=True, resolution="Seen."
    )
