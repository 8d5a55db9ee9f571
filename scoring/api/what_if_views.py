"""What something else would come to, before anybody decides on it."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from scoring.actions.override_work import Wish
from scoring.api import examples
from scoring.api import what_if_serializers as s
from scoring.api.floor_views import PrescriptionScopedView
from scoring.api.override_views import named, units_of
from scoring.calc.next_set import Policy
from scoring.calc.prescription import PRESCRIPTION_VERSION
from scoring.errors import HeldForSafety, PrescriptionSuperseded, ReachCheckRunning
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
        """What another version, amount or pacing would come to for the athlete of a prescription; nothing is stored.

        The answer says it as a prescription would, with what an override of it would ask to be acknowledged. An
        organisation has one worked out at a time.
        """
        data = self.read_input()
        wish = Wish([named(one) for one in data["work"]], (), "", units_of(data["work"]))
        pacing = data.get("pacing")
        policy = None if pacing is None else Policy(pacing["share"], pacing["rest_s"])
        take_turn()
        found = suppose(self.prescription, wish, policy)
        return self.reply({
            "prescription": found.prescription.id,
            "work": [one.to_json() for one in found.work],
            "pacing": [
                {"block": block, "share": share, "rest_s": rest_s}
                for block, (share, rest_s) in found.pacing.items()
            ],
            "against": [{"code": code, "sentence": text} for code, text in found.against.items()],
            "check_sets_dropped": found.check_sets_dropped,
            "content": found.content,
            "profile": found.profile,
            "method_version": PRESCRIPTION_VERSION,
        })  # fmt: skip
