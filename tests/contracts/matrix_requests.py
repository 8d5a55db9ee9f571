"""One valid request for every case of the permission matrix, with the ids of one of the two organisations."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import pyotp
from django.db import transaction
from django.utils import timezone

from athletes.api.heart_rate_views import INPUT_EXAMPLE as RATES
from athletes.api.wellness_examples import FORM_INPUT as NEW_FORM
from programming.api import examples
from scoring.api.balance_examples import TARGET_INPUT
from services.access.models import SecondFactor
from services.api.operation import METHODS
from services.tenancy.context import person as person_scope
from tests.contracts.stage import PASSWORD, UNFINISHED, Side
from tests.contracts.stage_safety import screening_body
from tests.support.api import committed_document
from tests.support.world import KIT, SESSION

FACTOR = pyotp.random_base32()


@dataclass(frozen=True)
class Sent:
    """What a case sends.

    path      names of ids that differ from the names in the path
    secrets   by name in the path, what is no id: nobody finds it out by reading one
    if_match  name of the id whose entity tag is sent
    first     what has to have happened
    """

    path: Mapping[str, str] = field(default_factory=dict)
    secrets: Mapping[str, str] = field(default_factory=dict)
    body: Any = None
    query: Mapping[str, str] = field(default_factory=dict)
    if_match: str = ""
    first: Callable[[], None] | None = None


def _ago(**span: float) -> str:
    return (timezone.now() - dt.timedelta(**span)).isoformat()


def _soon() -> str:
    return (timezone.now() + dt.timedelta(days=4)).replace(microsecond=0).isoformat()


def _week(days: int) -> str:
    return (timezone.now() + dt.timedelta(days=days)).date().isoformat()


def _set_log(elapsed_s: float) -> dict[str, Any]:
    return {"performed_at": _ago(minutes=2), "set_log": {**UNFINISHED, "elapsed_s": elapsed_s}}


def _assessment(side: Side) -> dict[str, Any]:
    return {
        "variation": str(side.ids["row_45"]),
        "kind": "to_failure",
        "repetitions": 14,
        "performed_at": _ago(hours=3),
    }


def _roster(side: Side) -> Sent:
    return Sent(
        body={"csv": "name,body_mass_kg\nRuta Penn,61.5\n"},
        query={"location": str(side.ids["location"])},
    )


def _code() -> str:
    return pyotp.TOTP(FACTOR).at(timezone.now())


def _set_up(side: Side, *, on: bool) -> Callable[[], None]:
    """Gives everybody of the organisation the same second factor, on or only begun."""

    def first() -> None:
        now = timezone.now()
        for member in side.people.values():
            with transaction.atomic(), person_scope(member.person.id):
                told = {"secret": FACTOR, "offered_at": now, "confirmed_at": now if on else None}
                SecondFactor.objects.update_or_create(person_id=member.person.id, defaults=told)

    return first


def _place(side: Side, name: str) -> str:
    return str(side.ids[name])


CASES: Mapping[str, Callable[[Side], Sent]] = {
    "sign_in": lambda s: Sent(
        body={"email": s.people["coach"].person.email, "password": PASSWORD, "label": "phone"}
    ),
    "begin_second_factor": lambda s: Sent(body={"password": PASSWORD}),
    "confirm_second_factor": lambda s: Sent(body={"code": _code()}, first=_set_up(s, on=False)),
    "remove_second_factor": lambda s: Sent(
        body={"password": PASSWORD, "code": _code()}, first=_set_up(s, on=True)
    ),
    "change_password": lambda s: Sent(body={"password": PASSWORD, "new_password": "harbour lights at dawn"}),
    "accept_invitation": lambda s: Sent(
        body={"secret": s.secret, "name": "Rhea Dunn", "password": "harbour lights at dusk"}
    ),
    "join_invitation": lambda s: Sent(body={"secret": s.secret_of_outsider}),
    "choose_units": lambda s: Sent(body={"weights": "lb"}),
    "create_token": lambda s: Sent(body={"label": "laptop", "scopes": ["programme:read"]}),
    "create_token/organisation": lambda s: Sent(
        body={"label": "laptop", "scopes": ["results:read"], "organisation": _place(s, "organisation")}
    ),
    "update_organisation": lambda s: Sent(body={"name": "Renamed"}, if_match="organisation"),
    "create_location": lambda s: Sent(body={"name": "Annexe", "zone": "Europe/Riga"}),
    "update_location": lambda s: Sent(body={"freeze_minutes": 45}, if_match="location"),
    "update_membership": lambda s: Sent(
        body={"locations": [_place(s, "location"), _place(s, "mill")]}, if_match="membership"
    ),
    "end_membership": lambda s: Sent(if_match="membership"),
    "create_invitation": lambda s: Sent(
        body={"email": "new@example.org", "role": "athlete", "locations": [_place(s, "location")]}
    ),
    "create_invitation/coach": lambda s: Sent(body={"email": "new@example.org", "role": "coach"}),
    "create_feed": lambda s: Sent(
        body={"athlete": _place(s, "athlete"), "label": "Mine", "entry_minutes": 75}
    ),
    "create_feed/location": lambda s: Sent(body={"location": _place(s, "location"), "label": "Harbour"}),
    "read_feed": lambda s: Sent(secrets={"feed_secret": s.secret_of_feed}),
    "create_import": lambda s: Sent(
        body={"kind": "athletes", "csv": "name\nRuta Penn\n", "location": _place(s, "location")}
    ),
    "create_export": lambda s: Sent(body={"athlete": _place(s, "athlete")}),
    "create_export/organisation": lambda s: Sent(body={}),
    "create_movement": lambda s: Sent(body={**examples.NEW_MOVEMENT, "key": "new_press"}),
    "list_variations": lambda s: Sent(query={"movement": _place(s, "movement")}),
    "create_variation": lambda s: Sent(
        body={**examples.NEW_VARIATION, "key": "new_press_dumbbells", "movement": _place(s, "movement")}
    ),
    "create_variation_version": lambda s: Sent(
        body={"document": {**examples.VARIATION_DOCUMENT, "rung": 2}}, if_match="variation"
    ),
    "take_up_catalogue": lambda s: Sent(body={"movements": ["push_up"]}),
    "put_kit": lambda s: Sent(body={"items": {**KIT["items"], "wheel": {}}}, if_match="kit"),
    "create_template": lambda s: Sent(body={"name": "New", "draft": SESSION}),
    "update_template": lambda s: Sent(path={"template": "draft"}, body={"name": "Newer"}, if_match="draft"),
    "publish_revision": lambda s: Sent(path={"template": "draft"}, body={"version": s.version("draft")}),
    "copy_template": lambda s: Sent(body={"name": "Newer", "revision": _place(s, "revision")}),
    "archive_template": lambda s: Sent(),
    "restore_template": lambda s: Sent(path={"template": "archived"}),
    "check_template": lambda s: Sent(body={"document": SESSION}),
    "compare_revisions": lambda s: Sent(
        path={"revision": "local_revision"}, query={"against": _place(s, "revision")}
    ),
    "list_local_versions": lambda s: Sent(
        query={"location": _place(s, "location"), "template": _place(s, "template"), "in_use": "true"}
    ),
    "make_local_version": lambda s: Sent(
        body={
            "location": _place(s, "location"),
            "origin": _place(s, "revision"),
            "document": {**SESSION, "title": "Ours"},
            "reason": "No rings here.",
            "replaces": _place(s, "local_version"),
        }
    ),
    "use_revision": lambda s: Sent(
        path={"session": "open_session"},
        body={"revision": _place(s, "local_revision")},
        if_match="open_session",
    ),
    "create_group": lambda s: Sent(body={"name": "Late shift", "location": _place(s, "location")}),
    "update_group": lambda s: Sent(body={"location": _place(s, "mill")}, if_match="group"),
    "add_group_members": lambda s: Sent(
        body={"athletes": [_place(s, "athlete")], "from_date": "2031-01-01", "until_date": None}
    ),
    "change_group_member": lambda s: Sent(body={"until_date": "2030-01-20"}, if_match="group_member"),
    "remove_group_member": lambda s: Sent(if_match="group_member"),
    "copy_week": lambda s: Sent(
        body={
            "from_week": _week(3),
            "to_week": _week(17),
            "location": _place(s, "location"),
            "sessions": [_place(s, "open_session")],
        }
    ),
    "place_revision": lambda s: Sent(
        body={
            "revision": _place(s, "revision"),
            "places": [
                {"location": _place(s, "location"), "group": _place(s, "group"), "starts_at": _soon()},
                {"location": _place(s, "mill"), "starts_at": _soon()},
            ],
            "use_local_versions": True,
        }
    ),
    "list_scheduled_sessions": lambda s: Sent(query={"location": _place(s, "location")}),
    "schedule_session": lambda s: Sent(
        body={
            "revision": _place(s, "revision"),
            "location": _place(s, "location"),
            "starts_at": _soon(),
        }
    ),
    "move_session": lambda s: Sent(
        path={"session": "empty_session"},
        body={"location": _place(s, "location"), "starts_at": _soon()},
        if_match="empty_session",
    ),
    "cancel_session": lambda s: Sent(path={"session": "empty_session"}),
    "list_athletes": lambda s: Sent(query={"location": _place(s, "location")}),
    "create_athlete": lambda s: Sent(body={"name": "Ruta Penn", "location": _place(s, "location")}),
    "update_athlete": lambda s: Sent(body={"trains_alone": True}, if_match="athlete"),
    "update_athlete/name": lambda s: Sent(body={"name": "Ruta Penn"}, if_match="athlete"),
    "update_athlete/location": lambda s: Sent(body={"location": _place(s, "mill")}, if_match="athlete"),
    "update_athlete/person": lambda s: Sent(body={"person": _place(s, "member")}, if_match="athlete"),
    "import_athletes": _roster,
    "record_body_mass": lambda s: Sent(body={"body_mass_kg": 67.0, "measured_at": _ago(hours=1)}),
    "add_limitation": lambda s: Sent(body={"hazard": "impact", "from_date": "2030-01-31"}),
    "set_wellness_form": lambda s: Sent(body=NEW_FORM),
    "answer_wellness_form": lambda s: Sent(
        body={"form": "morning", "local_date": _week(-2), "answers": {"sleep": 4}}
    ),
    "change_wellness_answer": lambda s: Sent(body={"answers": {"sleep": 2}}, if_match="wellness_answer"),
    "remove_wellness_answer": lambda s: Sent(if_match="wellness_answer"),
    "read_group_wellness": lambda s: Sent(query={"form": "morning"}),
    "read_wellness": lambda s: Sent(query={"form": "morning"}),
    "state_heart_rates": lambda s: Sent(body={**RATES, "from_date": _week(-2)}),
    "take_heart_rates_back": lambda s: Sent(),
    "log_training": lambda s: Sent(
        body={"modality": "running", "effort": 4, "minutes": 40, "started_at": _ago(hours=4)}
    ),
    "load_what_if": lambda s: Sent(body={"planned_au": [300, 0, 420]}),
    "change_training_log": lambda s: Sent(body={"minutes": 50}, if_match="training_log"),
    "remove_training_log": lambda s: Sent(if_match="training_log"),
    "confirm_rest_day": lambda s: Sent(body={"local_date": _week(-3)}),
    "take_rest_day_back": lambda s: Sent(),
    "change_limitation": lambda s: Sent(body={"until_date": "2040-01-31"}, if_match="limitation"),
    "lift_limitation": lambda s: Sent(if_match="limitation"),
    "record_assessment": lambda s: Sent(body=_assessment(s)),
    "correct_assessment": lambda s: Sent(body={**_assessment(s), "reason": "Counted 14, wrote 12."}),
    "read_group_progression": lambda s: Sent(query={"movement": _place(s, "movement")}),
    "put_balance_target": lambda s: Sent(body=TARGET_INPUT, if_match="balance_target"),
    "put_group_balance_target": lambda s: Sent(body=TARGET_INPUT, if_match="group_balance_target"),
    "read_capacity": lambda s: Sent(path={"variation": "row_45"}),
    "list_prescriptions": lambda s: Sent(
        query={"session": _place(s, "open_session"), "athlete": _place(s, "athlete")}
    ),
    "read_forecast_checks": lambda s: Sent(
        query={"athlete": _place(s, "athlete"), "from_date": _week(-7), "overridden": "false"}
    ),
    "list_attempts": lambda s: Sent(query={"session": _place(s, "session"), "athlete": _place(s, "athlete")}),
    "submit_attempt": lambda s: Sent(
        body={
            "session": _place(s, "open_session"),
            "athlete": _place(s, "athlete"),
            "prescription": _place(s, "prescription"),
            **_set_log(310.0),
        }
    ),
    "send_check_set": lambda s: Sent(body={"work": "a", "repetitions": 9, "rir": 3, "ended_by": "planned"}),
    "end_day_change": lambda s: Sent(),
    "make_override": lambda s: Sent(
        path={"prescription": "other_prescription"},
        body={
            "work": [{"work": "b", "variation": "goblet_squat", "load_kg": 12}],
            "reason": "Less today.",
            "acknowledged": ["never_seen:a", "never_seen:b"],
        },
    ),
    "list_overrides": lambda s: Sent(query={"athlete": _place(s, "other_athlete")}),
    "withdraw_override": lambda s: Sent(body={"reason": "Not needed any more."}),
    "what_if": lambda s: Sent(
        path={"prescription": "other_prescription"},
        body={"work": [], "pacing": [{"share": 0.6, "rest_s": 45}]},
    ),
    "check_reach": lambda s: Sent(
        body={"document": SESSION, "location": _place(s, "location"), "with_athletes": True}
    ),
    "list_day_changes": lambda s: Sent(path={"session": "open_session"}),
    "make_day_change": lambda s: Sent(
        path={"session": "open_session"},
        body={"athlete": _place(s, "athlete"), "kind": "sore", "hazards": ["wrist"]},
    ),
    "make_day_change/drop_in": lambda s: Sent(
        path={"session": "empty_session"}, body={"athlete": _place(s, "athlete"), "kind": "drop_in"}
    ),
    "correct_attempt": lambda s: Sent(body={**_set_log(312.0), "reason": "Read too early."}),
    "read_safety_settings": lambda s: Sent(query={"location": _place(s, "location")}),
    "set_safety_settings": lambda s: Sent(
        body={"location": _place(s, "location"), "emergency_number": "112"}
    ),
    "set_hold": lambda s: Sent(body={"reason": "Fever."}),
    "release_hold": lambda s: Sent(
        body={"code": "pain", "cause": _place(s, "report"), "reason": "Does not hurt any more."}
    ),
    "record_screening": lambda s: Sent(body=screening_body()),
    "void_screening": lambda s: Sent(body={"note": "New medicine."}),
    "report_absence": lambda s: Sent(body={"from_date": "2026-01-02", "to_date": "2026-01-20"}),
    "report_absence/new": lambda s: Sent(
        body={"from_date": "2026-01-02", "to_date": "2026-01-20", "kind": "new"}
    ),
    "answer_absence": lambda s: Sent(body={"trained": False, "to_date": _ago(days=1)[:10]}),
    "create_report": lambda s: Sent(
        body={"kind": "red_flag", "sign": "chest_pain", "happened_at": _ago(minutes=1)}
    ),
    "acknowledge_report": lambda s: Sent(body={"note": "On my way."}),
    "add_attempt_note": lambda s: Sent(body={"text": "The last set was not clean."}),
    "list_changes": lambda s: Sent(query={"parked": "true"}),
    "resolve_review": lambda s: Sent(body={"accepted": True, "resolution": "Seen."}, if_match="review"),
    "list_prescriptions/visit": lambda s: Sent(query={"session": _place(s, "visit")}),
    "read_prescription/visit": lambda s: Sent(path={"prescription": "visiting_prescription"}),
    "explain_prescription/visit": lambda s: Sent(path={"prescription": "visiting_prescription"}),
    "read_brief/visit": lambda s: Sent(path={"prescription": "visiting_prescription"}),
    "profile_prescription/visit": lambda s: Sent(path={"prescription": "visiting_prescription"}),
    "profile_attempt/visit": lambda s: Sent(path={"attempt": "visiting_attempt"}),
    "list_check_sets/visit": lambda s: Sent(path={"prescription": "visiting_prescription"}),
    "send_check_set/visit": lambda s: Sent(
        path={"prescription": "visiting_prescription"},
        body={"work": "a", "repetitions": 9, "rir": 3, "ended_by": "planned"},
    ),
    "make_day_change/visit": lambda s: Sent(
        path={"session": "visit"},
        body={"athlete": _place(s, "athlete"), "kind": "sore", "hazards": ["wrist"]},
    ),
    "submit_attempt/visit": lambda s: Sent(
        body={"session": _place(s, "visit"), "athlete": _place(s, "athlete"), **_set_log(310.0)}
    ),
    "list_attempts/visit": lambda s: Sent(query={"session": _place(s, "visited")}),
    "read_attempt/visit": lambda s: Sent(path={"attempt": "visiting_attempt"}),
    "correct_attempt/visit": lambda s: Sent(
        path={"attempt": "visiting_attempt"}, body={**_set_log(312.0), "reason": "Read too early."}
    ),
    "list_attempt_notes/visit": lambda s: Sent(path={"attempt": "visiting_attempt"}),
    "add_attempt_note/visit": lambda s: Sent(
        path={"attempt": "visiting_attempt"}, body={"text": "The last set was not clean."}
    ),
    "record_assessment/visit": lambda s: Sent(body=_assessment(s)),
    "read_review/visit": lambda s: Sent(path={"review": "visiting_review"}),
}


@dataclass(frozen=True)
class Request:
    """A request as it goes out; `ids` are those of it that a swap can replace, path first."""

    method: str
    template: str
    path: Mapping[str, str]
    query: Mapping[str, str]
    body: Any
    if_match: str | None
    first: Callable[[], None] | None = None

    @property
    def address(self) -> str:
        return self.template.format(**self.path)

    def options(self) -> dict[str, Any]:
        sent: dict[str, Any] = {"query": dict(self.query), "if_match": self.if_match}
        return sent if self.body is None else {**sent, "json": self.body}

    def ids(self, side: Side) -> list[str]:
        """Ids of the side in path (but not the organisation), query and body."""
        path = [value for name, value in self.path.items() if name != "organisation"]
        text = json.dumps([path, self.query, self.body])
        return sorted({str(value) for value in side.ids.values() if str(value) in text})


@cache
def operations() -> dict[str, tuple[str, str]]:
    """(method, path template) by operationId, as the document has them."""
    found: dict[str, tuple[str, str]] = {}
    for path, item in committed_document().content["paths"].items():
        for method in METHODS:
            if method.lower() in item:
                found[item[method.lower()]["operationId"]] = (method, path)
    return found


def request_for(case: str, side: Side) -> Request:
    """The valid request of a case in one organisation."""
    method, template = operations()[case.split("/")[0]]
    sent = CASES.get(case, lambda _: Sent())(side)
    names = [name for name in re.findall(r"{(\w+)}", template) if name not in sent.secrets]
    path = {name: str(side.ids[sent.path.get(name, name)]) for name in names} | dict(sent.secrets)
    tag = f'"{side.ids[sent.if_match]}-{side.version(sent.if_match)}"' if sent.if_match else None
    return Request(method, template, path, sent.query, sent.body, tag, sent.first)
