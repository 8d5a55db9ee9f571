"""A coach's override, and why a prescription is what it is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.errors import ClientIdReused, NotYourLocation
from athletes.safety_errors import NotYourHold, OwnHold
from programming.calc.revision import UNITS
from programming.plans import session_plan
from scoring.actions.override_work import Wish
from scoring.actions.overrides import make_override, withdraw_override
from scoring.api import examples
from scoring.api import explanation_serializers as e
from scoring.api import override_serializers as s
from scoring.api.floor_filters import OverrideFilter
from scoring.api.floor_views import READ, PrescriptionScopedView
from scoring.errors import (
    HeldForSafety,
    NeedsAcknowledgement,
    OverrideEnded,
    PrescriptionSuperseded,
    ResultStored,
    SessionOver,
)
from scoring.explanation import explain
from scoring.floor_queries import overrides_visible_to
from scoring.models import Override, Prescription
from scoring.names import names_of
from scoring.overriding import SETTINGS, Named
from scoring.stored_content import as_current
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import STAFF, Scope

DECIDE = Access(STAFF, Scope.RESULTS_WRITE)


def named(data: Mapping[str, Any]) -> Named:
    """The validated version of one work item as the action takes it."""
    amount = next((float(data[unit]) for unit in UNITS if unit in data), None)
    settings = {name: data.get(name) for name in SETTINGS}
    loads = tuple(data.get("attempt_loads_kg", ()))
    if loads:
        settings["load_kg"] = loads[0]
    return Named(work=data["work"], variation=data["variation"], **settings, amount=amount, loads_kg=loads)


def units_of(work: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    """By work key the unit in which an amount was told."""
    return {one["work"]: unit for one in work for unit in UNITS if unit in one}


def wish(data: Mapping[str, Any]) -> Wish:
    """The validated body as the action takes it."""
    work = [named(one) for one in data["work"]]
    return Wish(work, data["acknowledged"], data["reason"], units_of(data["work"]))


class PrescriptionOverridesView(PrescriptionScopedView):
    operation = {
        "POST": Operation(
            id="make_override",
            input=s.OverrideInput,
            output=s.OverrideMadeOutput,
            status=201,
            stored_before=True,
            errors=(
                ClientIdReused,
                HeldForSafety,
                NeedsAcknowledgement,
                NotYourHold,
                NotYourLocation,
                OwnHold,
                PrescriptionSuperseded,
                ResultStored,
                SessionOver,
            ),
            request_example=examples.OVERRIDE_INPUT,
        )
    }
    access = {"POST": DECIDE}

    def post(self, request: Request, organisation: UUID, prescription: UUID) -> Response:
        """Prescribe something else, with a reason; the next prescription follows it, with its own forecast.

        It must be possible to set it up. What speaks against it (a limit, a hold, a cap after an absence, more than
        the athlete can probably do, or more than was worked out for a minor or somebody alone) is refused unless its
        code is acknowledged; after a warning sign or pain nothing is prescribed before a named person has released
        the athlete, and past another hold only by who may release it, never for oneself. It stands until it is
        withdrawn or what it rests on changes; no check set of the session is asked for meanwhile.
        """
        data = self.read_input()
        row: Any
        row, stored = make_override(
            actor=self.actor,
            prescription=self.prescription,
            wish=wish(data),
            now=timezone.now(),
            client_id=data.get("client_id"),
        )
        now = Prescription.objects.filter(session=row.session_id, athlete=row.athlete_id)
        row.prescription = now.order_by("-number").values_list("id", flat=True)[0]
        row.check_sets_dropped = [one["work"] for one in self.prescription.content["check_sets"]]
        return self.reply(row, created=stored)


class OverridesView(OrganisationView):
    operation = {
        "GET": Operation(id="list_overrides", output=s.OverrideOutput, paged=True, filters=OverrideFilter)
    }
    access = {"GET": READ}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Overrides, newest first; `standing=false` shows those that ended, and why they fell."""
        rows = overrides_visible_to(self.actor).prefetch_related("ends")
        return self.page(rows, order=("-created_at", "-id"))


class WithdrawalsView(OrganisationView):
    operation = {
        "POST": Operation(
            id="withdraw_override",
            input=s.WithdrawalInput,
            output=s.OverrideEndOutput,
            status=201,
            errors=(NotYourLocation, OverrideEnded),
            request_example={"reason": "The shoulder is fine again."},
        )
    }
    access = {"POST": DECIDE}

    def prepare(self, organisation: UUID, override: UUID) -> None:
        rows = overrides_visible_to(self.actor).select_related("athlete", "session")
        self.override: Override = self.get_object_or_404(rows, override)

    def post(self, request: Request, organisation: UUID, override: UUID) -> Response:
        """End an override; what was worked out is prescribed again within moments."""
        end = withdraw_override(actor=self.actor, override=self.override, reason=self.read_input()["reason"])
        return self.reply(end)


class ExplanationView(PrescriptionScopedView):
    operation = {"GET": Operation(id="explain_prescription", output=e.ExplanationOutput)}
    access = {"GET": READ}

    def get(self, request: Request, organisation: UUID, prescription: UUID) -> Response:
        """Why: what is known of the athlete and how surely, what was compared, what was ruled out."""
        content = as_current(self.prescription.content)
        names = names_of(session_plan(self.prescription.session_id))
        return self.reply({
            "prescription": self.prescription,
            "why": explain(content, self.prescription.basis, names),
            "warm_up_told": content["warm_up"],
            "cautions_told": content["caution_details"],
        })  # fmt: skip
