"""What something else would come to, before anybody decides on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from programming.calc.revision import UNITS
from scoring.actions.override_work import Wish
from scoring.api import examples
from scoring.api import what_if_serializers as s
from scoring.api.floor_views import PrescriptionScopedView
from scoring.api.override_views import named, units_of
from scoring.calc.listed_forecast import UNLIMITED, SetThere
from scoring.calc.next_set import Policy
from scoring.calc.prescription import PRESCRIPTION_VERSION
from scoring.errors import HeldForSafety, PrescriptionSuperseded, ReachCheckRunning
from scoring.listed import WishedSet
from scoring.paced import WishedPacing, paced_as
from scoring.rounding import PROBABILITY_STEP, step
from scoring.turns import take_turn
from scoring.what_if import suppose
from services.api.operation import Access, Idempotency, Operation
from services.tenancy.actor import STAFF, Scope


class WhatIfView(PrescriptionScopedView):
    operation = {
        "POST": Operation(
            id="what_if",
            input=s.WhatIfInput,
            output=s.WhatIfOutput,
            idempotency=Idempotency.EXEMPT,  # nothing is stored, not even that it was asked
            errors=(HeldForSafety, PrescriptionSuperseded, ReachCheckRunning),
            request_example=examples.WHAT_IF_INPUT,
        )
    }
    access = {"POST": Access(STAFF, Scope.RESULTS_READ)}

    def post(self, request: Request, organisation: UUID, prescription: UUID) -> Response:
        """What another version, amount, pacing or plan would come to for the athlete of a prescription; not stored.

        The answer says it as a prescription would, with what an override of it would ask to be acknowledged. An
        organisation has one worked out at a time.
        """
        data = self.read_input()
        wish = Wish([named(one) for one in data["work"]], (), "", units_of(data["work"]))
        take_turn()
        pacing = [_paced(one) for one in data.get("pacing", ())]
        found = suppose(self.prescription, wish, pacing, [_wished(one) for one in data.get("plan", ())])
        return self.reply({
            "prescription": found.prescription.id,
            "work": [one.to_json() for one in found.work],
            "pacing": [paced_as(block, policy) for block, policy in found.pacing.items()],
            "against": [{"code": code, "sentence": text} for code, text in found.against.items()],
            "sets": [_told(block, one) for block, sets in found.listed.items() for one in sets],
            "fails": found.fails,
            "notes": found.notes,
            "check_sets_dropped": found.check_sets_dropped,
            "content": found.content,
            "profile": found.profile,
            "method_version": PRESCRIPTION_VERSION,
        })  # fmt: skip


def _paced(data: Mapping[str, Any]) -> WishedPacing:
    """The validated pacing of one block, or of all."""
    policy = Policy(data["share"], data["rest_s"], data["pace"], data["patience"])
    return WishedPacing(policy, data.get("block"))


def _wished(data: Mapping[str, Any]) -> WishedSet:
    """The validated set."""
    unit = next(unit for unit in UNITS if unit in data)
    return WishedSet(data["work"], float(data[unit]), unit, data["rest_before_s"], data.get("interval"))


def _told(block: str, one: SetThere) -> dict[str, Any]:
    """What becomes of a set, rounded as probabilities are told."""
    there = None if one.p_there is None else step(one.p_there, PROBABILITY_STEP)
    return {
        **asdict(one),
        "block": block,
        "begun_probability": step(one.p_begun, PROBABILITY_STEP),
        "there_probability": there,
        "there_probability_reason": UNLIMITED if there is None else None,
        "done_reason": "never_begun" if one.done is None else None,
    }
