"""Whatever form a report comes in: with a kind and a sign that can be read it is stored, and says what it lacks."""

from __future__ import annotations

import uuid
from typing import Any

import pytest

from athletes.models import Report
from tests.athletes.conftest import Team
from tests.athletes.test_api_reports import assert_stored, otherwise
from tests.athletes.test_api_safety import at, flag, pain
from tests.support.api import ApiClient, assert_problem

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.athletes.urls")]

CHARACTERS = "Fell.\x00 Got up.\ud800"
BAD_FIELDS: list[tuple[str, Any, list[str], str, Any]] = [
    ("happened_at", "", ["not_told"], "", None),
    ("happened_at", 7, ["unreadable"], "", None),
    ("happened_at", {}, ["unreadable"], "", None),
    ("happened_at", True, ["unreadable"], "", None),
    ("happened_at", "x" * 500, ["unreadable"], "", None),
    ("happened_at", "1990-05-01T10:00:00Z", ["too_long_ago"], "", None),
    ("happened_at", "0001-01-01T00:00:00Z", ["too_long_ago"], "", None),
    ("happened_at", "0001-01-01T00:00:00+14:00", ["too_long_ago"], "", None),
    ("happened_at", "9999-12-31T23:59:59-14:00", ["in_the_future"], "", None),
    ("happened_at", "2101-01-01T00:00:00Z", ["in_the_future"], "", None),
    ("client_id", "", ["empty"], "client_id", None),
    ("client_id", "x" * 81, ["too_long"], "client_id", "x" * 80),
    ("client_id", 7, ["no_text"], "client_id", "7"),
    ("client_id", {}, ["no_text"], "client_id", None),
    ("session", "", ["empty"], "session", None),
    ("session", "abc", ["no_reference"], "session", None),
    ("session", 7, ["no_reference"], "session", None),
    ("note", None, ["empty"], "note", ""),
    ("note", "x" * 1001, ["too_long"], "note", "x" * 1000),
    ("note", CHARACTERS, ["unstorable"], "note", "Fell. Got up."),
    ("note", "\x00" + "x" * 1001, ["unstorable", "too_long"], "note", "x" * 1000),
    ("note", ["fell"], ["no_text"], "note", ""),
    ("during", None, ["empty"], "during", ""),
    ("during", "x" * 121, ["too_long"], "during", "x" * 120),
    ("severity", "much", ["no_severity"], "severity", None),
    ("severity", {}, ["no_severity"], "severity", None),
    ("severity", -1, ["no_severity"], "severity", None),
    ("severity", 11, ["too_high"], "severity", 10),
    ("severity", 1e308, ["too_high"], "severity", 10),
    ("severity", 7.5, ["rounded"], "severity", 8),
    ("site", "soul", ["no_place"], "site", ""),
    ("site", None, ["empty"], "site", ""),
    ("site", 7, ["no_place"], "site", ""),
    ("side", [], ["no_word"], "side", ""),
    ("dose", 1, ["unknown_field"], "", None),
    ("d\x00" + "x" * 500, {"a": [1]}, ["unknown_field"], "", None),
]


@pytest.mark.parametrize(("name", "value", "reasons", "kept_as", "kept"), BAD_FIELDS)
def test_no_field_stands_in_the_way_of_a_red_flag(
    team: Team, name: str, value: Any, reasons: list[str], kept_as: str, kept: Any
) -> None:
    """Stored with what fits, and the true reason for the rest; sent again with its `client_id` it is the same."""
    sent = {"client_id": "phone-1", **flag(), name: value}
    client = team.client(team.cast.athlete)
    body = assert_stored(team, client.post(at(team, "reports"), sent))
    assert [one["reason"] for one in body["taken_otherwise"]] == reasons
    assert {one["field"][:1] for one in body["taken_otherwise"]} == {name[:1]}
    assert all(len(one["field"]) <= 200 and len(one["told"] or "") <= 200 for one in body["taken_otherwise"])
    if kept_as:
        assert body[kept_as] == kept
    if body["client_id"]:
        again = client.post(at(team, "reports"), sent)
        assert (again.status_code, again.json()["id"]) == (200, body["id"])


@pytest.mark.parametrize(
    ("more", "reasons"),
    [
        ({"severity": None}, [("severity", "severity_open")]),
        ({"severity": "much"}, [("severity", "no_severity"), ("severity", "severity_open")]),
        ({"severity": 11}, [("severity", "too_high")]),
        ({"severity": "8"}, []),
        ({"site": "soul"}, [("site", "no_place"), ("site", "place_open")]),
        ({"side": None}, [("side", "empty"), ("side", "place_open")]),
        ({"note": "x" * 2000}, [("note", "too_long")]),
        ({"sign": ""}, [("sign", "empty")]),
    ],
)
def test_no_field_stands_in_the_way_of_pain(
    team: Team, more: dict[str, Any], reasons: list[tuple[str, str]]
) -> None:
    """Of which it is not known how strong it is counts as strong."""
    body = assert_stored(team, team.client(team.cast.athlete).post(at(team, "reports"), pain() | more))
    assert otherwise(body) == reasons


def test_a_list_of_one_report_is_that_report(team: Team) -> None:
    """Sent again it is the same."""
    client, sent = team.client(team.cast.athlete), [flag(client_id="phone-1")]
    body = assert_stored(team, client.post(at(team, "reports"), sent))
    assert otherwise(body) == [("[]", "sent_in_list")]
    again = client.post(at(team, "reports"), sent)
    assert (again.status_code, again.json()["id"]) == (200, body["id"])


@pytest.mark.parametrize(("name", "longest"), [("note", 1000), ("during", 120)])
def test_nothing_of_a_long_text_is_lost(team: Team, name: str, longest: int) -> None:
    """Its beginning stands in its place, the rest beside it."""
    text = " ".join(f"word {n}" for n in range(400))
    body = assert_stored(team, team.client(team.cast.athlete).post(at(team, "reports"), flag(**{name: text})))
    [rest] = body["taken_otherwise"]
    assert (rest["field"], rest["reason"]) == (name, "too_long")
    assert body[name] + rest["told"] == text and len(body[name]) == longest


def test_a_sign_in_other_words_takes_no_room_from_the_note(team: Team) -> None:
    """The words stand before the note, whose end was cut off without a word."""
    told = flag(sign="my arm is numb", note="x" * 990 + " left side")
    body = assert_stored(team, team.client(team.cast.athlete).post(at(team, "reports"), told))
    rest = next(one for one in body["taken_otherwise"] if one["field"] == "note")
    assert body["note"] + rest["told"] == f"my arm is numb. {told['note']}"
    assert rest["reason"] == "too_long"


def test_a_text_without_end_is_kept_to_a_bound(team: Team) -> None:
    """And what is kept says that there was more."""
    body = assert_stored(
        team, team.client(team.cast.athlete).post(at(team, "reports"), flag(note="x" * 50_000))
    )
    [rest] = body["taken_otherwise"]
    assert len(rest["told"]) == 20_000 and rest["told"].endswith("…")


def test_pain_and_nothing_else_is_a_report(team: Team) -> None:
    """Everything is open, and somebody is to ask."""
    body = assert_stored(team, team.client(team.cast.athlete).post(at(team, "reports"), {"kind": "pain"}))
    assert otherwise(body) == [
        ("site", "place_open"),
        ("side", "place_open"),
        ("severity", "severity_open"),
        ("happened_at", "not_told"),
    ]


def test_pain_with_a_sign_of_an_emergency_is_a_red_flag(team: Team) -> None:
    """Whoever does not find the right form has the emergency all the same."""
    told = pain(severity=2, sign="chest_pain")
    body = assert_stored(team, team.client(team.cast.athlete).post(at(team, "reports"), told))
    assert (body["kind"], body["sign"], body["severity"]) == ("red_flag", "chest_pain", 2)
    assert otherwise(body) == [("kind", "sign_named")]


NOW_TEXT = b"2026-11-24T10:00:00Z"


@pytest.mark.parametrize(
    ("raw", "reasons"),
    [
        (b'\xef\xbb\xbf{"kind": "red_flag", "sign": "collapse", "happened_at": "%s"}' % NOW_TEXT, []),
        (
            b'{"kind": "pain", "kind": "red_flag", "sign": "collapse", "happened_at": "%s"}' % NOW_TEXT,
            [("kind", "sent_twice")],
        ),
        (
            b'{"kind": "red_flag", "sign": "x", "sign": "collapse", "sign": 1, "happened_at": "%s"}'
            % NOW_TEXT,
            [("sign", "sent_twice")],
        ),
        (
            b'{"kind": "red_flag", "sign": "collapse", "happened_at": "%s", "severity": NaN, "note": 1e999}'
            % NOW_TEXT,
            [("severity", "no_severity")],
        ),
        (
            b'{"kind": "red_flag", "sign": "collapse", "happened_at": "%s", "note": "f\xfcnf\nMinuten"}'
            % NOW_TEXT,
            [("note", "unstorable")],
        ),
        (
            b'{"kind": "red_flag", "sign": "collapse", "happened_at": "%s", "x": %s}'
            % (NOW_TEXT, b"[" * 60 + b"]" * 60),
            [("x", "unknown_field")],
        ),
        (
            b'{"kind": "red_flag", "sign": "collapse", "happened_at": "%s", "x": %s}'
            % (NOW_TEXT, b"9" * 5000),
            [("x", "unknown_field")],
        ),
    ],
    ids=["byte order mark", "two kinds", "three signs", "no numbers", "not UTF-8", "deep", "long number"],
)
@pytest.mark.parametrize(
    "media_type", ["application/json", "text/plain", "application/x-www-form-urlencoded"]
)
def test_whatever_can_be_read_as_json_is_read(
    team: Team, raw: bytes, reasons: list[tuple[str, str]], media_type: str
) -> None:
    """Also under a name that is not that of JSON."""
    client = team.client(team.cast.athlete)
    body = assert_stored(team, client.post(at(team, "reports"), body=raw, content_type=media_type))
    assert otherwise(body) == reasons


def test_many_unknown_fields_and_parameters_are_named_and_bounded(team: Team) -> None:
    """The report is stored with a list that has an end."""
    told = flag(**{f"x{n}": "y" * 1000 for n in range(500)})
    body = assert_stored(team, team.client(team.cast.athlete).post(at(team, "reports") + "?trace=1", told))
    assert len(body["taken_otherwise"]) == 22
    assert body["taken_otherwise"][20]["told"] == "480 more"
    assert otherwise(body)[-1] == ("?trace", "unknown_parameter")


@pytest.mark.parametrize(
    ("told", "at_field"),
    [
        (flag(sign=None), "#/sign"),
        ({"kind": "red_flag"}, "#/sign"),
        ({"kind": 7, "note": "Ouch."}, "#/kind"),
        ({"sign": " "}, "#/kind"),
        ({}, "#/kind"),
        ([], "#"),
        ([flag(), flag()], "#"),
        ([[flag()]], "#"),
        (["help"], "#"),
    ],
)
def test_what_says_nothing_says_what_to_do_all_the_same(team: Team, told: Any, at_field: str) -> None:
    """The words of the place, its number, and that nothing is stored."""
    sent = {"emergency_number": "112", "emergency_text": "Defibrillator beside the door."}
    team.client(team.cast.owner).post(team.path("safety-settings"), sent)
    response = team.client(team.cast.athlete).post(at(team, "reports"), told)
    problem = assert_problem(response, "invalid_input", 400, at=at_field)
    assert "Nothing is stored yet" in problem["detail"]
    assert "112: Defibrillator beside the door." in problem["detail"]
    with team.cast.inside():
        assert not Report.objects.exists()


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE"])
def test_another_method_is_refused_as_everywhere(team: Team, method: str) -> None:
    """Before it is known whose place it is; with what to do in an emergency."""
    response = team.client(team.cast.athlete).request(method, at(team, "reports"))
    assert "emergency number" in assert_problem(response, "method_not_allowed", 405)["detail"]


def test_whoever_may_not_report_is_told_what_to_do_all_the_same(team: Team) -> None:
    """Signed out, of another organisation, of an athlete who is not there: the general words, the same for each."""
    sent = {"emergency_number": "112", "emergency_text": "Defibrillator beside the door."}
    team.client(team.cast.owner).post(team.path("safety-settings"), sent)
    nobody = at(team, "reports").replace(str(team.ayo.id), str(uuid.uuid4()))
    athlete = team.client(team.cast.athlete)
    refused = [
        assert_problem(ApiClient().post(at(team, "reports"), flag()), "not_authenticated", 401),
        assert_problem(team.client(team.cast.outsider).post(at(team, "reports"), flag()), "not_found", 404),
        assert_problem(athlete.post(nobody, flag()), "not_found", 404),
        assert_problem(athlete.post(at(team, "reports", team.noor), flag()), "not_found", 404),
    ]
    for problem in refused:
        assert "Nothing is stored" in problem["detail"] and "emergency number" in problem["detail"]
        assert "112" not in problem["detail"]
    assert len({problem["detail"] for problem in refused[1:]}) == 1


def test_a_report_sent_to_the_list_of_all_says_what_to_do(team: Team) -> None:
    """A slip of the address."""
    response = team.client(team.cast.athlete).post(team.path("reports"), flag())
    assert "emergency number" in assert_problem(response, "method_not_allowed", 405)["detail"]


def test_reading_is_refused_without_a_word_of_emergencies(team: Team) -> None:
    """Whoever reads reports nothing."""
    response = team.client(team.cast.outsider).get(at(team, "reports"))
    assert "emergency" not in assert_problem(response, "not_found", 404)["detail"]


def test_a_body_that_is_no_json_says_what_to_do_all_the_same(team: Team) -> None:
    """Half a body, from a telephone that lost its net."""
    response = team.client(team.cast.athlete).post(at(team, "reports"), body=b'{"kind": "red_fl')
    assert "emergency number" in assert_problem(response, "bad_request", 400)["detail"]
