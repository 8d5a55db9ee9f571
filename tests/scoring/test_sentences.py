"""No sentence of an explanation or a reach check has a key, a code or an underscore in it."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any, get_args

import pytest
from django.utils import timezone

from athletes.actions.limitations import add_limitation
from athletes.calc.caution import Reason as Unaccustomed
from athletes.safety import CODES as HOLD_CODES
from programming.calc.catalogue import HAZARDS, MUSCLE_GROUPS
from programming.calc.document_work import WINDOW_LIMITS
from scoring.api.explanation_serializers import ComparedOutput
from scoring.calc.prescription import ReasonCode
from scoring.explanation import explain
from scoring.models import Prescription
from scoring.names import GONE, Names
from scoring.stored_content import as_current
from scoring.words import REASONS, RULED_OUT
from scoring.words import UNACCUSTOMED as UNACCUSTOMED_SAID
from services.demo import documents
from tests.scoring.sessions import place
from tests.scoring.test_stored_content import FIRST
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world

RAW = re.compile(r"\w_\w|\w:\w|\b(x\d+key|None|null)\b")
NAMES = Names(
    works={"x1key": "Push-up", "x2key": "Squat, second time"},
    movements={"push_up": "Push-up"},
    blocks={"x3key": "the first block"},
)


def raw_words(sentences: Iterator[str] | list[str]) -> list[str]:
    """Sentences that nobody should have to read."""
    return [line for line in sentences if RAW.search(line)]


def all_that_can_be_said() -> tuple[dict[str, Any], dict[str, Any]]:
    """Content and basis with every reason, condition, left-out version and caution that there is."""
    reasons = [{"block": "x3key", "code": code, "work": "x1key"} for code in get_args(ReasonCode)]
    left_out = [*RULED_OUT, *(f"limit:{one}" for one in HAZARDS), *(f"sore:{one}" for one in MUSCLE_GROUPS)]
    conditions = [
        {"block": "x3key", "kind": kind, "work": work, "lower": 20.0, "upper": 30.5, "probability": 0.4,
         "by": "local_muscle" if kind == "stopped_by" else None}
        for kind in WINDOW_LIMITS for work in (None, "x2key")
    ]  # fmt: skip
    content = {
        **as_current(FIRST),
        "feasible": False,
        "reasons": reasons,
        "conditions": conditions,
        "blocks": [{"block": "x3key", "feasible": False, "rounds": 4}],
        "ruled_out": [
            {"block": "x3key", "work": "x1key", "variation": "push_up_floor", "reason": reason}
            for reason in left_out
        ],
        "day": {
            "kit_in_use": ["bar_floor"],
            "sore_hazards": ["under_load"],
            "sore_muscle_groups": ["hip_flexors"],
        },
        "hold": None,
        "overridden_by": None,
    }
    basis = {
        "capacities": {"x1key": {"kind": "load_repetition", "observations": 2}},
        "tempo": {"x1key": {"own_s": 2.62, "usual_s": 2.1, "log_sd": 0.1, "sets": 3}},
        "volume_caps": {"x2key": 30.0},
        "unaccustomed": {
            key: {"reason": code, "most_repetitions": 30}
            for key, code in zip(("push_up", "box_jump"), get_args(Unaccustomed), strict=True)
        },
        "candidates": [],
    }  # fmt: skip
    return content, basis


def test_every_code_is_said_in_words() -> None:
    """All reasons at once; each has words of its own."""
    content, basis = all_that_can_be_said()
    why = explain(content, basis, NAMES)
    lines = [*why.sentences, *(line for one in why.work for line in one.sentences)]
    lines += [one["text"] for work in why.work for one in work.ruled_out]
    lines += explain({**content, "feasible": True}, basis, NAMES).sentences
    assert len(lines) > 50
    assert raw_words(lines) == []
    assert set(get_args(ReasonCode)) <= set(REASONS)
    assert set(get_args(Unaccustomed)) == set(UNACCUSTOMED_SAID)
    assert "First set" not in " ".join(lines), "articles belong to it"
    assert "The first set of Squat, second time, asked 20 to 30.5: 40 in 100 such days." in lines


@pytest.mark.parametrize("code", HOLD_CODES)
def test_holds_and_overrides_are_said_in_words(code: str) -> None:
    """With what was acknowledged against an override."""
    content, basis = all_that_can_be_said()
    held = {
        "code": code,
        "since": "2026-11-02",
        "released_by": "a coach",
        "safe_alternative": "Easy walking.",
    }
    codes = [
        f"hold:{code}",
        "limit:under_load",
        "volume_cap:x1key",
        "beyond_capacity:x2key",
        "rounds_cap:x1key",
        "to_failure:x1key",
        "alone_without_safeties",
        "trains_alone",
        "minor",
        "never_seen:x2key",
        "unlikely_at_age",
    ]
    made = {"override": "1", "person": "2", "reason": "As agreed.", "acknowledged": codes}
    lines = list(explain({**content, "hold": held, "overridden_by": made}, basis, NAMES).sentences)
    assert raw_words(lines) == []
    assert (
        "the limit of the amount of Push-up, more of Squat, second time than can probably be done"
        in " ".join(lines)
    )


def test_nothing_is_chosen_where_nothing_is_prescribed() -> None:
    """The nearest version stands among what was compared, and no probability is told as that of a prescription."""
    content, basis = all_that_can_be_said()
    near = {**content["work"][0], "work": "x1key", "variation": "press_two", "load_kg": 32.0}
    option = {"variation_key": "press_two", "load_kg": 32.0, "assistance_kg": None,
              "height_cm": near["height_cm"]}  # fmt: skip
    shared = {"work": "x1key", "is_as_written": True, "is_novel": False, "fresh": None, "p_first_set": 0.1}
    other = {**option, "load_kg": 16.0}
    basis = {
        **basis,
        "p_all": 0.1,
        "candidates": [{**shared, "option": other, "loss": 0.1}, {**shared, "option": option, "loss": 0.4}],
    }
    names = replace(NAMES, variations={"press_two": "Press with two"}, implements={"press_two": 2})
    refused = explain({**content, "work": [], "closest": [near]}, basis, names)
    (work,) = refused.work
    assert (refused.p_all, refused.p_all_reason) == (None, "infeasible")
    assert (work.chosen, work.chosen_reason) == (None, "infeasible")
    loads = [ComparedOutput(one).data["load_text"] for one in work.others]
    assert loads == ["2 × 16 kg", "2 × 8 kg"], "the nearest first, pairs as pairs"
    given = explain({**content, "feasible": True, "work": [near], "closest": []}, basis, names)
    assert given.p_all == 0.1
    assert given.work[0].chosen is not None
    assert given.work[0].chosen["variation_name"] == "Press with two"


def test_what_was_never_done_is_nothing_that_anybody_is_used_to() -> None:
    content, basis = all_that_can_be_said()
    content = {**content, "feasible": True}
    lines = list(explain(content, basis, NAMES).sentences)
    assert (
        "Push-up was not done in the last four weeks, so no set of it is planned to failure; up to 30 repetitions"
        " would be an ordinary beginning."
    ) in lines
    assert not [line for line in lines if "last four weeks" in line and "used to" in line]


def test_work_that_is_gone_has_no_key_either() -> None:
    """Of a prescription whose session has another revision now."""
    content, basis = all_that_can_be_said()
    lines = list(explain(content, basis, Names()).sentences)
    assert raw_words(lines) == []
    assert any(GONE in line for line in lines)


def renamed(document: dict[str, Any]) -> dict[str, Any]:
    """The same session with keys that no word contains."""
    made = copy.deepcopy(document)
    for number, block in enumerate(made["blocks"]):
        block["key"] = f"x{number}00key"
        keys = {item["key"]: f"x{number}{index}key" for index, item in enumerate(block["work"])}
        for item in block["work"]:
            item["key"] = keys[item["key"]]
        for condition in block.get("aim", {}).get("conditions", []):
            if condition.get("work"):
                condition["work"] = keys[condition["work"]]
        if block["rules"].get("split"):
            block["rules"]["split"] = keys[block["rules"]["split"]]
    made.get("overall", {}).pop("block", None)
    return made


@pytest.fixture
def world(db: None) -> World:
    """Somebody known, and somebody new who may not go overhead."""
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    late = add_athlete(world, "Nia Moor", 70.0)
    with world.cast.inside():
        actor = world.cast.coach.actor
        assert actor is not None
        for hazard in ("wrist", "knee"):
            add_limitation(actor=actor, athlete=late, hazard=hazard, from_date=timezone.now().date())
    return world


@pytest.mark.parametrize(
    "document", [documents.NEW_SESSION, documents.HEADWIND, documents.BALLAST, documents.PUSH_AND_BRIDGE]
)
def test_no_sentence_of_the_demo_has_a_key(world: World, document: dict[str, Any]) -> None:
    """Each of its sessions, for two athletes and for typical ones."""
    session = place(world, renamed(document))
    drain(world.cast)
    coach, base = ApiClient(world.cast.coach.token), f"/api/v1/organisations/{world.cast.org.id}"
    with world.cast.inside():
        ids = list(Prescription.objects.filter(session=session).values_list("id", flat=True))
    lines: list[str] = []
    for id_ in ids:
        told = coach.get(f"{base}/prescriptions/{id_}/explanation").json()
        lines += told["sentences"]
        lines += [line for one in told["work"] for line in one["sentences"]]
        lines += [one["text"] for work in told["work"] for one in work["ruled_out"]]
    asked = {"document": renamed(document), "location": str(world.cast.harbour.id), "with_athletes": True}
    reached = coach.post(f"{base}/reach-checks", asked)
    assert reached.status_code == 200, reached.content
    lines += reached.json()["sentences"]
    assert len(ids) == 2
    assert len(lines) > 6
    assert raw_words(lines) == []
