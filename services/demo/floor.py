"""What happens between the sheet and the session: safety, a check set, a coach's own decision."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import uuid4

from services.demo.errors import expect
from services.demo.founding import author, weigh
from services.demo.people import ATHLETES, DemoAthlete
from services.demo.scene import Scene

Row = Mapping[str, Any]
UNWEIGHED: Final = next(one.name for one in ATHLETES if one.unweighed)
AWAY: Final = next(one.name for one in ATHLETES if one.away)
SCREENED, CHECKED, OVERRIDDEN, PAINED, FLAGGED = (
    "Ivo Marchetti",
    "Paloma Serrano",
    "Nikolaj Frost",
    "Elif Karaca",
    "Quentin Marais",
)
YES: Final = "heart_or_blood_pressure"
RELEASE_REASON: Final = (
    "His physician knows the pressure and has nothing against training; the letter is here."
)
OVERRIDE_REASON: Final = (
    "His physiotherapist was here: two dumbbells of twelve are fine, standing tall. I stand beside him."
)
OVERRIDE_KG: Final = 24.0
MOST_RIR: Final = 10


@dataclass(frozen=True)
class Override:
    """A coach's own prescription: what the service said without the acknowledgement, and with it."""

    asked_for: str
    codes: list[str]
    made: Row


@dataclass(frozen=True)
class Checked:
    """A check set, and what the service said at once."""

    sent: Row
    next: Row


def person_of(name: str) -> DemoAthlete:
    return next(one for one in ATHLETES if one.name == name)


def screen(scene: Scene) -> None:
    """One of the athletes answers the screening with a yes."""
    questions = scene.coach.get("/screening-questions").body
    answers = {one["key"]: one["key"] == YES for one in questions["questions"]}
    body = {"question_set": questions["version"], "answers": answers, "used_to_vigorous_effort": True}
    author(scene, person_of(SCREENED)).post(f"/athletes/{scene.athletes[SCREENED]}/screenings", body)


def release(scene: Scene) -> None:
    """The coach releases the hold, with the reason."""
    athlete = scene.athletes[SCREENED]
    (hold,) = scene.coach.get(f"/athletes/{athlete}/holds").body["holds"]
    expect(hold["code"] == "screening_yes", f"the yes holds {SCREENED}, not {hold['code']}")
    body = {"code": hold["code"], "cause": hold["cause"], "reason": RELEASE_REASON}
    scene.coach.post(f"/athletes/{athlete}/hold-releases", body)


def confirm_absence(scene: Scene) -> Row:
    """Asked about two silent weeks, the athlete says that they were without training; the question."""
    athlete = scene.athletes[AWAY]
    (absence,) = scene.coach.every(f"/athletes/{athlete}/absences")
    expect(absence["origin"] == "silence" and absence["answer"] is None, f"{AWAY} is asked about the silence")
    yesterday = (dt.datetime.now(dt.UTC) - dt.timedelta(days=1)).date()
    body = {"trained": False, "to_date": yesterday.isoformat(), "kind": "returning"}
    scene.coach.post(f"/athletes/{athlete}/absences/{absence['id']}/answers", body)
    return absence


def weigh_in(scene: Scene) -> None:
    """The athlete without a body mass steps on the scale."""
    person = person_of(UNWEIGHED)
    weigh(author(scene, person), scene.athletes[person.name], person.mass_kg, dt.datetime.now(dt.UTC))


def check_set(scene: Scene, prescription: Row) -> Checked:
    """The newcomer does the check set that was asked for, and says how many were left."""
    asked = prescription["content"]["check_sets"][0]
    work = next(one for one in prescription["content"]["work"] if one["work"] == asked["work"])
    able = math.floor(scene.bodies[CHECKED].fresh(work["movement"], asked["effective_kg"]))
    done = min(asked["stop_at"], able)
    sent = {
        "work": asked["work"],
        "repetitions": done,
        "rir": min(able - done, MOST_RIR),
        "ended_by": "planned" if able > done else "failure",
        "client_id": "check-set-1",
    }
    by = author(scene, person_of(CHECKED))
    return Checked(sent, by.post(f"/prescriptions/{prescription['id']}/check-sets", sent).body["next"])


def override(scene: Scene, prescription: Row) -> Override:
    """The coach prescribes where the limit left nothing: refused until what speaks against it is named."""
    work = [
        {"work": "a", "variation": "fan_bike"},
        {"work": "b", "variation": "overhead_press_dumbbells", "load_kg": OVERRIDE_KG},
    ]
    body: dict[str, Any] = {"work": work, "reason": OVERRIDE_REASON}
    path = f"/prescriptions/{prescription['id']}/overrides"
    refused = scene.coach.send("POST", path, body=body, headers={"Idempotency-Key": str(uuid4())})
    expect(refused.status == 422, f"an override against a limit is refused, not answered {refused.status}")
    codes = [one["code"] for one in refused.body["errors"]]
    made = scene.coach.post(path, {**body, "acknowledged": codes}).body
    return Override(refused.body["errors"][0]["detail"], codes, made)


def report_pain(scene: Scene) -> Row:
    body = {
        "kind": "pain",
        "site": "knee",
        "side": "left",
        "severity": 4,
        "during": "squats",
        "happened_at": dt.datetime.now(dt.UTC).isoformat(),
    }
    by = author(scene, person_of(PAINED))
    return dict(by.post(f"/athletes/{scene.athletes[PAINED]}/reports", body).body)


def report_red_flag(scene: Scene) -> tuple[Row, Row]:
    """A sign of an emergency, answered with what to do at once; (the report, its acknowledgement)."""
    body = {"kind": "red_flag", "sign": "dark_urine", "happened_at": dt.datetime.now(dt.UTC).isoformat()}
    by = author(scene, person_of(FLAGGED))
    told = by.post(f"/athletes/{scene.athletes[FLAGGED]}/reports", body).body
    waiting = scene.owner.every("/reports", acknowledged="false", kind="red_flag")
    expect([one["id"] for one in waiting] == [told["id"]], "the report waits for somebody")
    seen = {"note": "Called him; his wife drives him to the hospital."}
    return told, scene.owner.post(f"/reports/{told['id']}/acknowledgements", seen).body
