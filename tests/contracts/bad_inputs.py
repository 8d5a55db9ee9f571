"""Requests that must be refused, each with what the refusal has to say: code, status and place.

Each is a small change of a valid request of the permission matrix, so that nothing else can be the reason.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.utils import timezone

from tests.contracts.matrix_requests import request_for
from tests.contracts.stage import Stage
from tests.support.pointers import WORK

Change = Callable[[dict[str, Any], Stage], Any]


@dataclass(frozen=True)
class Bad:
    """A case of the matrix (sent by a coach), and its fault.

    change  makes the bad body of the valid one; bytes go out as they are
    at      pointer or parameter that the problem names
    word    code of the fault at that place
    """

    name: str
    case: str
    change: Change | None = None
    code: str = "invalid_input"
    status: int = 400
    at: str = ""
    word: str = ""
    options: dict[str, Any] = field(default_factory=dict)

    def sent(self, stage: Stage) -> tuple[str, str, dict[str, Any]]:
        """(method, address, options of the client)."""
        request = request_for(self.case, stage.ours)
        options = request.options() | self.options
        if self.change is not None:
            body = self.change(json.loads(json.dumps(request.body)), stage)
            options.pop("json", None)
            options |= {"body": body} if isinstance(body, bytes) else {"json": body}
        return request.method, request.address, options


def put(path: str, value: Any) -> Change:
    """Set one place of the body, "set_log.sets.0.load_kg"."""

    def change(body: dict[str, Any], stage: Stage) -> Any:
        *steps, last = path.split(".")
        place: Any = body
        for step in steps:
            place = place[int(step) if step.isdigit() else step]
        place[last] = value(stage) if callable(value) else value
        return body

    return change


def literal(value: bytes, path: str = "set_log.sets.0.repetitions") -> Change:
    """Put bytes that json.dumps would not write where a value belongs."""

    def change(body: dict[str, Any], stage: Stage) -> bytes:
        put(path, "@@")(body, stage)
        return json.dumps(body).encode().replace(b'"@@"', value)

    return change


def without(name: str) -> Change:
    return lambda body, _: {key: value for key, value in body.items() if key != name}


def whole(value: Any) -> Change:
    return lambda body, _: value


def theirs(name: str) -> Callable[[Stage], str]:
    return lambda stage: str(stage.theirs.ids[name])


def _ours(name: str) -> Callable[[Stage], str]:
    return lambda stage: str(stage.ours.ids[name])


def _from_now(**span: float) -> Callable[[Stage], str]:
    return lambda _: (timezone.now() + dt.timedelta(**span)).isoformat()


def _both(body: dict[str, Any], stage: Stage) -> Any:
    return {**body, "totals": {"work": [{"work": "a", "repetitions": 3}]}}


def _totals(*work: str) -> Change:
    rows = [{"work": key, "repetitions": 3} for key in work]
    return lambda body, _: {**without("set_log")(body, _), "totals": {"work": rows}}


def _many(count: int) -> Change:
    def change(body: dict[str, Any], stage: Stage) -> Any:
        body["set_log"]["sets"] *= count
        return body

    return change


def _nested(depth: int) -> bytes:
    return b'{"set_log":' + b"[" * depth + b"]" * depth + b"}"


def fault(name: str, case: str, path: str, value: Any, word: str, at: str = "") -> Bad:
    """A bad value at a place of the body, which the problem then names (`at`, if it names another)."""
    return Bad(name, case, put(path, value), at=at or "#/" + path.replace(".", "/"), word=word)


S = "submit_attempt"
UNKNOWN = "unknown_reference"
ASSESSMENT = "record_assessment"
CSV = {"content_type": "text/csv"}
SET = "set_log.sets.0"
AT = "#/set_log/sets/0"

LOADS = (
    fault("negative load", S, f"{SET}.load_kg", -5, "min_value"),
    fault("absurd load", S, f"{SET}.load_kg", 1e6, "max_value"),
    fault("load on what has none", S, f"{SET}.load_kg", 20, "not_adjustable"),
    fault("no such work", S, f"{SET}.work", "z", "unknown_work"),
    fault("no such variation", S, f"{SET}.variation", "moon_row", "unknown_variation"),
    fault("variation of another movement", S, f"{SET}.variation", "body_weight_squat", "unknown_variation"),
    fault("reserve of 11", S, f"{SET}.rir", 11, "max_value"),
    fault("unknown ending", S, f"{SET}.ended_by", "boredom", "invalid_choice"),
    fault("negative repetitions", S, f"{SET}.repetitions", -1, "min_value"),
    fault("a million repetitions", S, f"{SET}.repetitions", 10**6, "max_value"),
    Bad("work named twice", S, _totals("a", "a"), at=f"#/totals/{WORK}/1/{WORK}", word="named_twice"),
    Bad("sets and totals", S, _both, at="#", word="one_of"),
    Bad("neither sets nor totals", S, without("set_log"), at="#", word="one_of"),
    fault("no sets", S, "set_log.sets", [], "empty"),
    Bad("10 000 sets", S, _many(10_000), at="#/set_log/sets", word="max_length"),
    Bad("no work in totals", S, _totals(), at=f"#/totals/{WORK}", word="empty"),
    fault("body mass of a bird", "record_body_mass", "body_mass_kg", 5, "min_value"),
    fault("negative load of a test", ASSESSMENT, "load_kg", -1, "min_value"),
    fault("test of no variation", ASSESSMENT, "variation", _ours("movement"), "unknown_variation"),
    fault("reserve without its kind", ASSESSMENT, "rir", 2, "contradiction"),
    fault("kit of nonsense", "put_kit", "items", {"box": {"heights_cm": [-20]}}, "out_of_range",
        at="#/items/box/heights_cm/0"),
    fault("weight of a thought", "put_kit", "items", {"dumbbell": {"loads_kg": [1e-300]}}, "out_of_range",
        at="#/items/dumbbell/loads_kg/0"),
    fault("share of the body of an atom", "create_variation", "document.body_mass_fraction", 1e-300,
        "out_of_range"),
    fault("share of the body below nothing", "create_variation_version", "document.external_share", -0.0,
        "out_of_range"),
    fault("fall-off of a machine", "create_movement", "prior.k", 0.0006, "out_of_range"),
    fault("own box of a grain", "update_athlete", "kit", {"items": {"box": {"heights_cm": [1e-9]}}},
        "out_of_range", at="#/kit/items/box/heights_cm/0"),
    fault("shares beyond all", "put_balance_target", "sets_by_quality", [{"name": "skill", "share": 0.7}],
        "sum_not_one"),
    fault("kit that is a list", "put_kit", "items", [], "wrong_type"),
)  # fmt: skip

REFERENCES = (
    fault("athlete of another organisation", S, "athlete", theirs("athlete"), UNKNOWN),
    fault("session of another organisation", S, "session", theirs("open_session"), UNKNOWN),
    fault("prescription of another organisation", S, "prescription", theirs("prescription"), UNKNOWN),
    fault("result for a prescription", S, "prescription", _ours("attempt"), UNKNOWN),
    fault("id of nobody", S, "athlete", "00000000-0000-4000-8000-000000000000", UNKNOWN),
    fault("id without hyphens", S, "athlete", "0" * 32, "invalid"),
    fault("id that is a number", S, "athlete", 7, "wrong_type"),
    fault("place of another organisation", "create_athlete", "location", theirs("location"), "unknown_location"),
    fault("person who is no member", "update_athlete/person", "person", theirs("member"), "unknown_person"),
    fault("unknown zone", "create_athlete", "zone", "Mars/Olympus", "unknown_zone"),
    fault("zone that is a path", "create_athlete", "zone", "../../etc/passwd", "unknown_zone"),
)  # fmt: skip

TIMES = (
    fault("result dated tomorrow", S, "performed_at", _from_now(days=1), "in_the_future"),
    fault("test dated tomorrow", ASSESSMENT, "performed_at", _from_now(days=1), "in_the_future"),
    fault("weighing dated tomorrow", "record_body_mass", "measured_at", _from_now(days=1), "in_the_future"),
    fault("time without offset", S, "performed_at", "2026-05-04T18:00:00", "naive"),
    fault("year 1", S, "performed_at", "0001-01-01T00:00:00+14:00", "out_of_range"),
    fault("year 9999", S, "performed_at", "9999-12-31T23:59:59-12:00", "out_of_range"),
    fault("the 30th of February", S, "performed_at", "2026-02-30T10:00:00Z", "invalid"),
    fault("day instead of time", S, "performed_at", "2026-02-20", "invalid"),
    fault("seconds since 1970", S, "performed_at", 1_770_000_000, "wrong_type"),
    fault("born in the year 1", "create_athlete", "born_on", "0001-01-01", "out_of_range"),
    fault("last day in the year 9999", "add_limitation", "until_date", "9999-12-31", "out_of_range"),
    fault("last day before the first", "add_limitation", "until_date", "2001-01-01", "contradiction"),
)  # fmt: skip

TYPES = (
    Bad("NaN", S, literal(b"NaN"), code="bad_request"),
    Bad("Infinity", S, literal(b"Infinity"), code="bad_request"),
    Bad("minus infinity", S, literal(b"-Infinity"), code="bad_request"),
    Bad("a number beyond all doubles", S, literal(b"1e400"), code="bad_request"),
    Bad("an integer beyond int4", S, literal(b"2147483648"), at=f"{AT}/repetitions", word="max_value"),
    Bad("an integer beyond int8", S, literal(b"9223372036854775808"), code="bad_request"),
    Bad("an integer of 5000 digits", S, literal(b"9" * 5000), code="bad_request"),
    fault("true for a number", S, f"{SET}.repetitions", True, "wrong_type"),
    fault("false for a duration", S, "set_log.elapsed_s", False, "wrong_type"),
    fault("text for a number", S, f"{SET}.repetitions", "5", "wrong_type"),
    fault("half a repetition", S, f"{SET}.repetitions", 2.5, "wrong_type"),
    fault("number for a text", S, "client_id", 5, "wrong_type"),
    fault("number for true", "update_athlete", "trains_alone", 1, "wrong_type"),
    fault("null for a number", S, f"{SET}.repetitions", None, "null"),
    fault("object for a list", S, "set_log.sets", {"0": {}}, "wrong_type"),
    fault("list for an object", S, "set_log", [], "invalid"),
    Bad("number for an entry", S, put("set_log.sets", [7]), at=AT, word="invalid"),
    fault("unknown field", S, "penalty", 5, "unknown_field"),
    fault("unknown field inside", S, f"{SET}.tempo", "3-1-1", "unknown_field"),
    fault("field of the model", S, "org_id", theirs("organisation"), "unknown_field"),
    Bad("missing field", S, without("athlete"), at="#/athlete", word="required"),
    Bad("null body", S, whole(b"null"), at="#"),
    Bad("array for a body", S, whole([]), at="#", word="invalid"),
    Bad("text for a body", S, whole("row"), at="#", word="invalid"),
    Bad("number for a body", S, whole(b"5"), at="#", word="invalid"),
    fault("an object in another", "create_movement", "prior", "none", "wrong_type"),
    fault("blank name", "create_athlete", "name", "   ", "blank"),
    fault("very long name", "create_athlete", "name", "x" * 100_000, "max_length"),
    fault("very long reason", "correct_attempt", "reason", "x" * 501, "max_length"),
    fault("very long client_id", S, "client_id", "x" * 81, "max_length"),
    fault("very long work", S, f"{SET}.work", "x" * 41, "max_length"),
    fault("key with capitals", "create_movement", "key", "Press", "not_a_key"),
)  # fmt: skip

BYTES = (
    Bad("body of more than 1 MiB", S, put("reason", "x" * 1_100_000), "too_large", 413),
    Bad("nested 30 deep", S, whole(_nested(30)), code="bad_request"),
    Bad("nested 100 000 deep", S, whole(_nested(100_000)), code="bad_request"),
    Bad("not JSON", S, whole(b"{'athlete': 1}"), code="bad_request"),
    Bad("half a JSON", S, whole(b'{"athlete": '), code="bad_request"),
    Bad("empty body", S, whole(b" "), code="bad_request"),
    Bad("key twice", S, whole(b'{"athlete": 1, "athlete": 2}'), code="bad_request"),
    Bad("not UTF-8", S, whole(b'{"athlete": "\xff\xfe"}'), code="bad_request"),
    Bad("UTF-16", S, whole('{"athlete": 1}'.encode("utf-16")), code="bad_request"),
    Bad("NUL in a text", "create_athlete", put("name", "Ruta\x00Penn"), code="bad_request"),
    Bad("NUL in a key", S, put("set\x00log", 1), code="bad_request"),
    Bad("half a surrogate pair", "create_athlete", literal(b'"Ruta \\ud800"', "name"), code="bad_request"),
    Bad("NUL in a document", "create_template", put("draft.title", "a\x00b"), code="bad_request"),
    Bad("not as JSON", S, None, "unsupported_media_type", 415, options={"content_type": "text/plain"}),
    Bad("as a form", S, whole(b"athlete=1"), "unsupported_media_type", 415,
        options={"content_type": "application/x-www-form-urlencoded"}),
    Bad("as a file", S, whole(b"--x--"), "unsupported_media_type", 415,
        options={"content_type": "multipart/form-data; boundary=x"}),
    Bad("NUL in a roster", "import_athletes", whole(b"name\nRuta\x00Penn\n"), options=CSV,
        at="#/csv", word="null_characters_not_allowed"),
    Bad("roster that is not UTF-8", "import_athletes", whole(b"name\nRuta \xff\n"), code="bad_request",
        options=CSV),
    Bad("roster of more than 1 MiB", "import_athletes", whole(b"name\n" + b"Ruta Penn\n" * 120_000), "too_large",
        413, options=CSV),
    Bad("roster without a header", "import_athletes", whole(b"\n\n"), at="#/csv", word="unreadable_roster",
        options=CSV),
)  # fmt: skip

HEADERS = (
    Bad("no key", S, code="idempotency_key_missing", options={"idempotency_key": None}),
    Bad("short key", S, code="idempotency_key_invalid", options={"idempotency_key": "7"}),
    Bad("key with spaces", S, code="idempotency_key_invalid", options={"idempotency_key": "a b" * 8}),
    Bad("endless key", S, code="idempotency_key_invalid", options={"idempotency_key": "x" * 4000}),
    Bad("no version seen", "update_athlete", None, "precondition_required", 428, options={"if_match": None}),
    Bad("version that was", "update_athlete", None, "precondition_failed", 412, options={"if_match": '"0-0"'}),
    Bad("version without quotes", "update_athlete", code="bad_request", options={"if_match": "5"}),
)  # fmt: skip


def _asked(case: str, **query: str) -> Bad:
    [(name, value)] = query.items()
    return Bad(f"{case}?{name}={value[:30]!r}", case, at=name, options={"query": query})


QUERIES = (
    _asked("list_athletes", force="1"),
    _asked("list_athletes", limit="0"),
    _asked("list_athletes", limit="-1"),
    _asked("list_athletes", limit="1000000000"),
    _asked("list_athletes", limit="٣"),
    _asked("list_athletes", location_id="harbour"),
    _asked("list_athletes", location_id="\x00"),
    _asked("list_movements", key="a\x00b"),
    _asked("list_movements", pattern="\x00"),
    _asked("list_scheduled_sessions", from_date="soon"),
    _asked("list_scheduled_sessions", from_date="0001-01-01"),
    _asked("list_scheduled_sessions", until_date="9999-12-31"),
    _asked("list_attempts", athlete="1' OR '1'='1"),
    _asked("read_capacity", load_kg="nan"),
    _asked("read_capacity", load_kg="-inf"),
    _asked("read_capacity", load_kg="1e9999"),
    _asked("read_progression", since="0001-01-01"),
    _asked("read_progression", worthwhile_percent="-inf"),
    _asked("read_progression", movement="\x00"),
    _asked("read_athlete_balance", from_date="0001-01-01"),
    _asked("read_athlete_balance", group="\x00"),
    _asked("read_external_load", from_date="0001-01-01"),
    _asked("read_external_load", until_date="tomorrow"),
    _asked("import_athletes", dry_run="perhaps"),
    _asked("import_athletes", location_id="\x00"),
    Bad("cursor of nobody", "list_athletes", code="invalid_cursor", options={"query": {"cursor": "abc\x00"}}),
    Bad("endless cursor", "list_athletes", code="invalid_cursor", options={"query": {"cursor": "a:" * 4000}}),
)  # fmt: skip

ALL_BAD = (*LOADS, *REFERENCES, *TIMES, *TYPES, *BYTES, *HEADERS, *QUERIES)
