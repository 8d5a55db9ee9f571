"""A sign of an emergency in whatever words: stored as another sign, with the words in the note."""

from __future__ import annotations

from typing import Any

import pytest

from athletes.models import Report
from tests.athletes.conftest import Team
from tests.athletes.test_api_reports import assert_stored, otherwise
from tests.athletes.test_api_safety import at, flag, pain

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.athletes.urls")]


@pytest.mark.parametrize(
    ("change", "sign", "note"),
    [
        ({"sign": "heart attack"}, "other", "heart attack."),
        ({"sign": "heart attack", "note": "On the floor."}, "other", "heart attack. On the floor."),
        ({"sign": ["collapse"]}, "collapse", ""),
        ({"sign": ["fell over", "blue lips"]}, "other", "fell over, blue lips."),
        ({"sign": "Chest pain", "kind": "Red-Flag"}, "chest_pain", ""),
        ({"sign": None, "note": "Something in the chest."}, "other", "Something in the chest."),
        ({"sign": "other", "note": "Odd."}, "other", "Odd."),
        ({"sign": "x" * 900, "note": "n" * 1000}, "other", None),
        ({"sign": ["fell over", "Chest pain", "fainting"]}, "chest_pain", "fell over, fainting."),
        ({"sign": ["other", "chest_pain"]}, "chest_pain", "other."),
        ({"sign": 1}, "other", "1."),
        ({"sign": [7]}, "other", "7."),
        ({"sign": True}, "other", "true."),
        ({"sign": {}}, "other", ""),
        ({"sign": {"heart": "stops"}, "note": "Now."}, "other", '{"heart": "stops"}. Now.'),
        ({"kind": ["red_flag", "pain"]}, "chest_pain", ""),
        ({"kind": ["pain", "red_flag"], "sign": "pale"}, "other", "pale."),
    ],
)
def test_a_sign_in_other_words_holds_too(
    team: Team, change: dict[str, Any], sign: str, note: str | None
) -> None:
    """Answered with the words for an emergency, and the athlete is held."""
    body = assert_stored(team, team.client(team.cast.athlete).post(at(team, "reports"), flag(**change)))
    assert (body["kind"], body["sign"]) == ("red_flag", sign)
    with team.cast.inside():
        kept = Report.objects.get().note
    assert len(kept) == 1000 if note is None else kept == note


SHOULDER = {"kind": "pain", "site": "shoulder", "side": "left", "severity": 1}


@pytest.mark.parametrize(
    ("named", "sign", "note", "reasons"),
    [
        ("chest pain!", "other", "chest pain!. Set 2.", ["no_sign"]),
        ("pressure on my chest, left arm numb", "other", "pressure on my chest, left arm numb. Set 2.", ["no_sign"]),
        (["chest_pain", "fainting"], "chest_pain", "fainting. Set 2.", ["sent_twice"]),
        (["pale", "Chest-pain"], "chest_pain", "pale. Set 2.", ["sent_twice"]),
        ("other", "other", "Set 2.", []),
        (3, "other", "3. Set 2.", ["no_sign"]),
    ],
)  # fmt: skip
def test_a_sign_beside_pain_is_never_dropped(
    team: Team, named: Any, sign: str, note: str, reasons: list[str]
) -> None:
    """Held, answered with the words for an emergency; where it hurts and how strongly stays."""
    told = {**pain(note="Set 2.", sign=named), **SHOULDER}
    body = assert_stored(team, team.client(team.cast.athlete).post(at(team, "reports"), told))
    assert (body["kind"], body["sign"], body["note"]) == ("red_flag", sign, note)
    assert {name: body[name] for name in ("site", "side", "severity")} == {
        name: SHOULDER[name] for name in ("site", "side", "severity")
    }
    assert otherwise(body) == [*(("sign", reason) for reason in reasons), ("kind", "sign_named")]


@pytest.mark.parametrize("empty", ["", "  ", None, [], [None], {}, False])
def test_pain_with_an_empty_sign_is_pain(team: Team, empty: Any) -> None:
    """A form that sends every field names no sign by it."""
    body = team.client(team.cast.athlete).post(at(team, "reports"), {**pain(sign=empty), **SHOULDER}).json()
    assert (body["kind"], body["sign"], body["hold"]) == ("pain", "", None)


@pytest.mark.parametrize(
    ("kind", "reasons"),
    [
        ({}, []),
        ({"kind": None}, ["empty"]),
        ({"kind": "emergency"}, ["no_word"]),
        ({"kind": 7}, ["no_word"]),
        ({"kind": []}, ["no_word"]),
    ],
)
@pytest.mark.parametrize(("named", "sign"), [("chest_pain", "chest_pain"), ("my chest hurts", "other")])
def test_a_sign_says_it_without_a_kind(
    team: Team, kind: dict[str, Any], reasons: list[str], named: str, sign: str
) -> None:
    """Nobody has to find two words in an emergency."""
    body = assert_stored(
        team, team.client(team.cast.athlete).post(at(team, "reports"), {"sign": named, **kind})
    )
    assert (body["kind"], body["sign"]) == ("red_flag", sign)
    assert [reason for field, reason in otherwise(body) if field == "kind"] == [*reasons, "sign_named"]


def test_nothing_of_a_long_sign_is_lost(team: Team) -> None:
    """What has no room in the note stands beside it."""
    words = " ".join(f"word {n}" for n in range(300))
    body = assert_stored(team, team.client(team.cast.athlete).post(at(team, "reports"), pain(sign=words)))
    rest = next(one for one in body["taken_otherwise"] if one["field"] == "note")
    assert body["note"] + rest["told"] == f"{words}."
