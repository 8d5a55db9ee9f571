"""How quickly somebody works: learned from sets with seconds, told in the basis, used for what is foreseen."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from math import exp
from typing import Any

import numpy as np
import pytest
from django.utils import timezone

from athletes.actions.learned import drop_tempo
from athletes.calc.tempo import NOTHING_TIMED, TimedSet, learn
from athletes.models import Athlete, Tempo
from athletes.queries import prescribing_inputs
from programming.plans import variations_of_movements
from scoring.actions import tempo
from scoring.actions.prescriptions import issue_prescriptions
from scoring.actions.tempo import learn_tempo
from scoring.believed import WITHHELD
from scoring.calc.forecast import LEVELS
from scoring.models import Attempt, Prescription, Review
from scoring.person import common_draws
from tests.scoring.sessions import block, document, place, work
from tests.scoring.several import HOLD, a_set, correct, send
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world, url

WHO = "Nia Moor"
ROWS = document(
    "Rows, sixty",
    block(
        "main",
        work("r", "horizontal_row", "row_45", variations=["row_45"], repetitions=60),
        aim=[{"kind": "time", "upper": 1500}],
    ),
)
SLOW = [(12, 36.0), (12, 36.0), (12, 36.0)]
"""Three seconds a repetition, where two are usual."""


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, WHO, 68.0, {"row_45": 20})
    drain(world.cast)
    return world


def send_rows(
    world: World, coach: ApiClient, sets: Sequence[tuple[int, float | None]], *, hours_ago: float = 29.0,
    ended_by: Sequence[str] = (), **more: Any,
) -> str:  # fmt: skip
    """A result of sets (repetitions, seconds); its id."""
    session = place(world, ROWS, -dt.timedelta(hours=hours_ago + 1.0))
    ends = [*ended_by, *["planned"] * (len(sets) - len(ended_by))]
    rows = [
        a_set(
            "r",
            "row_45",
            end,
            repetitions=count,
            rest_before_s=60,
            **({} if s is None else {"duration_s": s}),
        )
        for (count, s), end in zip(sets, ends, strict=True)
    ]
    performed_at = (timezone.now() - dt.timedelta(hours=hours_ago)).isoformat()
    log = {"sets": rows, "elapsed_s": 3000}
    answer = send(world, session, WHO, client=coach, performed_at=performed_at, set_log=log, **more)
    assert answer.status_code == 201, answer.content
    return str(answer.json()["id"])


def learned(world: World) -> Tempo | None:
    with world.cast.inside():
        return Tempo.objects.filter(athlete=world.athletes[WHO]).first()


def sets_told(world: World) -> int:
    """How many sets of the row's one movement told something."""
    row = learned(world)
    if row is None:
        return 0
    ((_, _, sets),) = row.movements.values() or [(0.0, 0.0, 0)]
    return int(sets)


def prescribed(world: World, session: Any) -> Prescription:
    with world.cast.inside():
        return Prescription.objects.filter(athlete=world.athletes[WHO], session=session).latest("number")


def middle_s(row: Prescription) -> float:
    assert row.forecast is not None
    quantiles = row.forecast["score_quantiles"]
    return float(quantiles[len(quantiles) // 2])


def interval_s(row: Prescription) -> float:
    """Width of the 80 %."""
    assert row.forecast is not None
    low, high = (row.forecast["score_quantiles"][LEVELS.index(level)] for level in (0.1, 0.9))
    return float(high - low)


def without_a_tempo(world: World, session: Any) -> Prescription:
    """What is prescribed once nothing is known of it."""
    athlete = world.athletes[WHO].id
    with world.cast.inside():
        drop_tempo(athlete_id=athlete)
        assert prescribing_inputs([athlete], timezone.now().date())[athlete].tempo == NOTHING_TIMED
        issue_prescriptions(athlete_id=athlete, now=timezone.now())
    return prescribed(world, session)


def test_seconds_that_were_logged_are_foreseen_told_and_said(world: World, coach: ApiClient) -> None:
    coming = place(world, ROWS)
    drain(world.cast)
    before = prescribed(world, coming)
    assert before.basis["tempo"] == {}

    for days in range(6):
        send_rows(world, coach, SLOW, hours_ago=29.0 + 24.0 * days)
    drain(world.cast)
    row = learned(world)
    assert row is not None
    ((mean, log_sd, sets),) = row.movements.values()
    assert sets == 18
    assert 1.35 < exp(mean) <= 1.5
    assert log_sd < row.log_sd < 0.26

    after = prescribed(world, coming)
    assert after.basis["tempo"] == {
        "r": {"own_s": round(2.0 * exp(mean), 2), "usual_s": 2.0, "log_sd": log_sd, "sets": 18}
    }
    unknown = without_a_tempo(world, coming)
    assert unknown.basis["tempo"] == {}
    lifting_s = 60 * 2.0
    assert middle_s(after) - middle_s(unknown) == pytest.approx((exp(mean) - 1.0) * lifting_s, rel=0.4)
    (told,) = coach.get(url(world, f"prescriptions/{after.id}/explanation")).json()["work"]
    assert (
        f"A repetition takes the athlete about {2 * exp(mean):.1f} s, 2.0 s is usual; told by 18 sets with seconds."
        in told["sentences"]
    )


def test_a_session_is_profiled_by_the_athletes_own_seconds(world: World, coach: ApiClient) -> None:
    """What it trains goes by how long sets last."""
    coming = place(world, ROWS)
    for days in range(6):
        send_rows(world, coach, SLOW, hours_ago=29.0 + 24.0 * days)
    drain(world.cast)
    known, unknown = prescribed(world, coming), without_a_tempo(world, coming)
    own_s, usual_s = (
        coach.get(url(world, f"prescriptions/{one.id}/profile")).json()["whole"]["work_s"]
        for one in (known, unknown)
    )
    assert usual_s == 60 * 2.0
    assert own_s == pytest.approx(60 * known.basis["tempo"]["r"]["own_s"])


def test_who_was_never_timed_is_foreseen_less_surely(world: World, coach: ApiClient) -> None:
    """With seconds as usual these are learned, and the interval narrows; the middle moves by no more than another
    pacing moves it, which is chosen anew of what is known.
    """
    coming = place(world, ROWS)
    for days in range(6):
        send_rows(world, coach, [(8, 16.0)] * 3, hours_ago=29.0 + 24.0 * days)
    drain(world.cast)
    known, unknown = prescribed(world, coming), without_a_tempo(world, coming)
    assert known.basis["tempo"]["r"]["own_s"] == pytest.approx(2.0, rel=0.01)
    assert middle_s(known) == pytest.approx(middle_s(unknown), rel=0.05)
    assert interval_s(known) < 0.97 * interval_s(unknown)  # most of it is the capacity


@pytest.mark.parametrize(
    ("sets", "ended_by", "tells"),
    [
        ([(12, None), (9, None)], (), 0),
        ([(2, 9.0), (1, 4.0), (12, 36.0)], (), 1),  # getting into position
        ([(12, 36.0), (9, 30.0), (9, 30.0)], ("planned", "pain"), 1),  # and nothing after it
        ([(12, 36.0), (9, 30.0)], ("other", "no_rep"), 0),
        ([(12, 36.0), (9, 30.0)], ("failure", "clock"), 2),
        ([(12, 900.0), (9, 30.0)], (), 1),  # a clock that was left running
    ],
)
def test_which_sets_tell_something(
    world: World,
    coach: ApiClient,
    sets: list[tuple[int, float | None]],
    ended_by: tuple[str, ...],
    tells: int,
) -> None:
    send_rows(world, coach, sets, ended_by=ended_by)
    drain(world.cast)
    assert sets_told(world) == tells


def test_a_hold_tells_nothing_of_repetitions(world: World, coach: ApiClient) -> None:
    session = place(world, document("Held", HOLD), -dt.timedelta(hours=3))
    rows = [a_set("plank", "plank", "planned", hold_s=30, duration_s=30)]
    answer = send(world, session, WHO, client=coach, set_log={"sets": rows, "elapsed_s": 180})
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    assert learned(world) is None


@pytest.mark.parametrize(
    ("code", "accepted", "tells"),
    [
        (None, False, 0),
        (min(WITHHELD), None, 0),
        (min(WITHHELD), True, 3),
        ("rests_exceed_elapsed", None, 0),
        ("rests_exceed_elapsed", True, 3),
        ("before_the_session", None, 3),
    ],
)
def test_what_nobody_believes_tells_nothing(
    world: World, coach: ApiClient, code: str | None, accepted: bool | None, tells: int
) -> None:
    send_rows(world, coach, SLOW)
    with world.cast.inside():
        findings = [{"code": code or "before_the_session", "detail": "Ask."}]
        Review.objects.update_or_create(
            attempt=Attempt.objects.get(),
            defaults={"org_id": world.cast.org.id, "findings": findings, "accepted": accepted},
        )
        learn_tempo(athlete_id=world.athletes[WHO].id, today=timezone.now().date())
    assert sets_told(world) == tells


def test_a_correction_takes_back_what_was_learned(world: World, coach: ApiClient) -> None:
    sent = send_rows(world, coach, SLOW)
    drain(world.cast)
    assert sets_told(world) == 3
    correct(coach, world, sent, [a_set("r", "row_45", repetitions=20)])
    assert learned(world) is None


def test_of_sets_to_failure_it_is_known_that_they_are(world: World, coach: ApiClient) -> None:
    """They have tried one more than they count, and are slower: a clock that ends a set is no failure."""
    ends = ("planned", "failure", "clock")
    send_rows(world, coach, SLOW, ended_by=ends)
    drain(world.cast)
    row = learned(world)
    assert row is not None
    told = learn([TimedSet("row", 0, 12.0, 36.0, 2.0, end == "failure") for end in ends]).rounded()
    assert list(row.movements.values()) == [list(told.of("row"))]
    assert told != learn([TimedSet("row", 0, 12.0, 36.0, 2.0)] * 3).rounded()


@pytest.mark.parametrize("first", [29.0, 60.0])
def test_the_order_in_which_results_arrive_makes_no_difference(
    world: World, coach: ApiClient, first: float
) -> None:
    """Three sets of 60 h ago and two quicker ones of 29 h ago, either of which comes late."""
    rows = {29.0: [(10, 21.0), (10, 22.0)], 60.0: SLOW}
    for hours_ago in (first, sum(rows) - first):
        send_rows(world, coach, rows[hours_ago], hours_ago=hours_ago)
        drain(world.cast)
    row = learned(world)
    assert row is not None
    with world.cast.inside():
        movement = variations_of_movements(["horizontal_row"])["row_45"].movement.id
    timed = [
        TimedSet(str(movement), number, float(count), seconds, 2.0)
        for number, sets in enumerate(rows.values())
        for count, seconds in sets
        if seconds is not None
    ]
    told = learn(timed).rounded()
    assert row.movements == {str(movement): list(told.of(str(movement)))}
    assert (row.mean, row.log_sd) == (told.other.mean, told.other.sd)


def test_nothing_new_is_nothing_to_do(world: World, coach: ApiClient, django_assert_num_queries: Any) -> None:
    """Two queries, of which the recompute has made one already, and the row stays as it was."""
    send_rows(world, coach, SLOW)
    drain(world.cast)
    before = learned(world)
    assert before is not None
    with world.cast.inside(), django_assert_num_queries(2):
        assert not learn_tempo(athlete_id=world.athletes[WHO].id, today=timezone.now().date())
    after = learned(world)
    assert after is not None
    assert after.computed_at == before.computed_at


def test_what_another_method_learned_is_worked_out_again(
    world: World, coach: ApiClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    send_rows(world, coach, SLOW)
    drain(world.cast)
    athlete, today = world.athletes[WHO].id, timezone.now().date()
    monkeypatch.setattr(tempo, "METHOD_VERSION", 10_000)
    with world.cast.inside():
        assert learn_tempo(athlete_id=athlete, today=today)
        assert not learn_tempo(athlete_id=athlete, today=today)


def test_a_result_tells_for_a_year(world: World, coach: ApiClient) -> None:
    send_rows(world, coach, SLOW)
    drain(world.cast)
    athlete, today = world.athletes[WHO].id, timezone.now().date()
    with world.cast.inside():
        assert not learn_tempo(athlete_id=athlete, today=today + dt.timedelta(days=360))
        assert learn_tempo(athlete_id=athlete, today=today + dt.timedelta(days=370))
    assert learned(world) is None


def test_a_long_log_does_not_take_the_place_of_all_others(
    world: World, coach: ApiClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of one session the first sets tell, of all of them the newest."""
    send_rows(world, coach, [(3, 6.0)] * 12)
    send_rows(world, coach, SLOW, hours_ago=60.0)
    drain(world.cast)
    assert sets_told(world) == 12 + len(SLOW)
    for name, most, told in (("MOST_OF_A_SESSION", 5, 5 + len(SLOW)), ("MOST_SETS", 7, 7)):
        monkeypatch.setattr(tempo, name, most)
        monkeypatch.setattr(tempo._timed, "_made", None)  # the numbers stand in the statement
        with world.cast.inside():
            learn_tempo(athlete_id=world.athletes[WHO].id, today=timezone.now().date())
        assert sets_told(world) == told


def test_the_newest_sets_tell(world: World, coach: ApiClient, monkeypatch: pytest.MonkeyPatch) -> None:
    """Twelve at the usual pace leave none of three slow ones of a month ago."""
    monkeypatch.setattr(tempo, "MOST_SETS", 12)
    monkeypatch.setattr(tempo._timed, "_made", None)  # the number stands in the statement
    send_rows(world, coach, [(3, 6.0)] * 12)
    send_rows(world, coach, SLOW, hours_ago=24.0 * 30)
    drain(world.cast)
    row = learned(world)
    assert row is not None
    ((mean, _, sets),) = row.movements.values()
    assert sets == 12 and exp(mean) < 1.1


def test_how_many_sets_tell() -> None:
    assert (tempo.MOST_SETS, tempo.MOST_OF_A_SESSION) == (160, 40)


def test_its_draw_is_its_own() -> None:
    """Standard normal, and of a piece with no other: neither with fatigue nor with what a movement has."""
    draws = common_draws(2)
    assert (draws.tempo.mean(), draws.tempo.std()) == pytest.approx((0.0, 1.0), abs=0.02)
    for other in (draws.multiplier, *(pair[:, column] for pair in draws.movements for column in (0, 1))):
        assert abs(np.corrcoef(draws.tempo, other)[0, 1]) < 0.05


def test_nobody_has_the_tempo_of_somebody_else(world: World, coach: ApiClient) -> None:
    send_rows(world, coach, SLOW)
    other = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9})
    drain(world.cast)
    assert isinstance(other, Athlete)
    with world.cast.inside():
        inputs = prescribing_inputs([other.id, world.athletes[WHO].id], timezone.now().date())
    assert inputs[other.id].tempo == NOTHING_TIMED
    assert inputs[world.athletes[WHO].id].tempo.movements
