"""The weeks before the demo's day: every kind of day occurs, somebody refuses, and nothing is said of who is away."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from typing import Any

import pytest

from athletes.calc.heart_rate import COEFFICIENTS
from athletes.calc.own_baseline import NEEDED_ANSWERS
from athletes.loads import MODALITIES
from athletes.wellness import RECENT_DAYS
from programming.calc.catalogue import PATTERNS
from scoring.api.balance_serializers import BOOKED
from services.demo import weeks
from services.demo.felt import (
    BESIDE,
    DILIGENT,
    FORGOTTEN,
    RATER,
    SILENT,
    WORN,
    WORN_DAYS,
    felt,
    says_rest,
    trained_beside,
)
from services.demo.history import LAST_SEEN_DAYS_AGO, SESSION_DAYS_AGO
from services.demo.people import ATHLETES
from services.demo.tests_taken import RECORD, RECORD_DAYS_AGO
from services.demo.weeks import ANSWERING, FIRST_DAYS_AGO, FORM, answers, rests, trained
from services.exchange.kinds import MEANINGS, TRAINING

NOW = dt.datetime(2030, 5, 17, 18, 0, tzinfo=dt.UTC)
PEOPLE = {one.name: one for one in ATHLETES}
WENT = {one.name: set(SESSION_DAYS_AGO) for one in ATHLETES if not one.newcomer and not one.away}


def rows_of(name: str) -> list[dict[str, Any]]:
    return [row for row in trained(NOW) if row["athlete"] == name]


def test_those_who_play_a_part_exist() -> None:
    """Of the group, of those who answer, of those who train beside; each of the cast."""
    told = {*BESIDE, *ANSWERING, *weeks.MEMBERS_OF_GROUP, weeks.JOINED_LATER, weeks.STRAPPED, RECORD, RATER}
    assert told | {WORN, *DILIGENT, *SILENT} <= set(PEOPLE)


def test_six_weeks_are_told() -> None:
    """Sessions, tests and answers lie in five to six weeks, the oldest beyond five."""
    assert 35 <= max(SESSION_DAYS_AGO) <= FIRST_DAYS_AGO <= 42
    assert max(RECORD_DAYS_AGO) <= FIRST_DAYS_AGO


def test_every_kind_of_day_occurs() -> None:
    """Reported, rest that is said, a session without minutes, and days of which nobody says anything."""
    said = {(person.name, days_ago) for person, days_ago in rests(WENT)}
    told = {
        (name, days_ago): felt(PEOPLE[name], days_ago, 900.0)
        for name, went in WENT.items()
        for days_ago in went
    }
    kinds = Counter(tuple(sorted(one)) for one in told.values())
    assert kinds.keys() == {("effort", "minutes"), ("effort",), ()}
    assert kinds["effort", "minutes"] > 100
    assert 0 < kinds[()] < 2 * FORGOTTEN * len(told)
    assert len({len(one) for (name, _), one in told.items() if name == RATER}) == 2
    assert len(said) > 100
    assert not {name for name, _ in said} & set(SILENT)
    silent = {
        name
        for name in WENT
        for days_ago in range(1, FIRST_DAYS_AGO + 1)
        if days_ago not in WENT[name] and (name, days_ago) not in said and not trained_beside(name, days_ago)
    }
    assert silent == set(WENT) - set(DILIGENT)


def test_a_day_of_rest_is_none_of_training() -> None:
    """Nobody rests on a day with a result or with training beside the programme."""
    for person, days_ago in rests(WENT):
        assert days_ago not in WENT[person.name]
        assert not trained_beside(person.name, days_ago)


def test_nothing_is_said_by_who_is_new_or_away() -> None:
    """Newcomers have no past, and two weeks of silence would be none."""
    for person in ATHLETES:
        if person.newcomer or person.away:
            assert person.name not in BESIDE and person.name not in ANSWERING
            assert not any(says_rest(person, days_ago) for days_ago in range(1, LAST_SEEN_DAYS_AGO))


def test_effort_and_minutes_are_believable() -> None:
    """On the scale, at least the time on the clock, at most an hour more."""
    for name, went in WENT.items():
        for days_ago in went:
            told = felt(PEOPLE[name], days_ago, 900.0)
            assert 3 <= told.get("effort", 5) <= 10
            assert 15 < told.get("minutes", 30) <= 75


def test_rows_of_training_can_be_imported() -> None:
    """Known columns and kinds, each with a key of its own, none in the future; a mean rate lies below the highest."""
    rows = list(trained(NOW))
    assert set(weeks.COLUMNS) <= set(MEANINGS[TRAINING])
    assert len({row["client_id"] for row in rows}) == len(rows) > 50
    assert {row["modality"] for row in rows} <= set(MODALITIES)
    assert max(row["started_at"] for row in rows) < NOW.isoformat()
    rated = [row for row in rows if row["mean_heart_rate"]]
    assert {row["athlete"] for row in rated} == {weeks.STRAPPED}
    assert len(rated) > 8
    rates = weeks.RATES
    for row in rated:
        assert rates["resting_bpm"] < row["mean_heart_rate"] < row["highest_heart_rate"] < 200
    assert rates["coefficients"] in COEFFICIENTS


def test_the_last_days_of_one_are_more_than_usual() -> None:
    """Whoever is worn trains beside the programme on each of the last days, and more than in the week before."""
    days = defaultdict(float)
    for row in rows_of(WORN):
        days[(NOW.date() - dt.datetime.fromisoformat(row["started_at"]).date()).days] += row["minutes"]
    assert all(days[ago] for ago in range(1, WORN_DAYS + 1))
    assert sum(days[ago] for ago in range(1, 8)) > 1.5 * sum(days[ago] for ago in range(8, 15))


@pytest.fixture(scope="module")
def told() -> dict[str, dict[int, dict[str, float]]]:
    found: dict[str, dict[int, dict[str, float]]] = defaultdict(dict)
    for name, days_ago, values in answers():
        found[name][days_ago] = values
    return found


def test_answers_lie_on_the_scales(told: dict[str, dict[int, dict[str, float]]]) -> None:
    """Every question, within its ends, in whole steps."""
    for days in told.values():
        for values in days.values():
            assert values.keys() == {item["key"] for item in FORM["items"]}
            for item in FORM["items"]:
                assert item["least"] <= values[item["key"]] <= item["most"]
                assert values[item["key"]] % item["step"] == 0


def test_each_way_of_answering_occurs(told: dict[str, dict[int, dict[str, float]]]) -> None:
    """Enough for limits, too few for them, none of late; most people refuse, some of the group too."""
    enough = {name for name, days in told.items() if len(days) >= NEEDED_ANSWERS}
    late = {name for name, days in told.items() if min(days) > RECENT_DAYS}
    assert WORN in enough
    assert late
    assert set(told) - enough - late
    assert len(told) < len(ATHLETES) / 2
    assert set(weeks.MEMBERS_OF_GROUP) & set(told)
    assert set(weeks.MEMBERS_OF_GROUP) - set(told)


@pytest.mark.parametrize("shares", [weeks.SHARES, weeks.GROUP_SHARES])
def test_wanted_shares_can_be_wanted(shares: dict[str, Any]) -> None:
    """Known names, each once, adding to 1."""
    known = {"sets_by_quality": BOOKED, "sets_by_pattern": PATTERNS, "cyclical_by_quality": BOOKED}
    for key, rows in shares.items():
        names = [one["name"] for one in rows]
        assert len(set(names)) == len(names)
        assert set(names) <= set(known[key])
        assert sum(one["share"] for one in rows) == pytest.approx(1.0)
