"""Ids of the other organisation in the fields that the valid requests of the matrix leave out."""

from __future__ import annotations

from typing import Any

from tests.contracts.bad_inputs import UNKNOWN, Bad, fault, put, theirs, without
from tests.contracts.stage import Stage


def _their_revision(body: dict[str, Any], stage: Stage) -> dict[str, Any]:
    return {**without("document")(body, stage), "revision": str(stage.theirs.ids["revision"])}


def _athlete_too(body: dict[str, Any], stage: Stage) -> dict[str, Any]:
    """One of ours and one of theirs: the place of the second is named."""
    return {**body, "athletes": [str(side.ids["athlete"]) for side in (stage.ours, stage.theirs)]}


FOREIGN = (
    fault("group of another organisation", "schedule_session", "group", theirs("group"), UNKNOWN),
    Bad(
        "week of another organisation's group",
        "copy_week",
        lambda body, stage: put("group", theirs("group"))(without("location")(body, stage), stage),
        at="#/group",
        word=UNKNOWN,
    ),
    fault("prescription of theirs", "correct_attempt", "prescription", theirs("prescription"), UNKNOWN),
    fault("check set of no athlete here", "send_check_set", "replaces", theirs("attempt"), UNKNOWN),
    fault("recipient of theirs", "set_safety_settings", "recipient", theirs("member"), "unknown_recipient"),
    fault("place of theirs", "update_athlete", "location", theirs("location"), "unknown_location"),
    Bad("reach of their revision", "check_reach", _their_revision, at="#/revision", word=UNKNOWN),
    Bad("reach of their athlete", "check_reach", _athlete_too, at="#/athletes/1", word=UNKNOWN),
)
