"""For owners: whether the staff of the organisation need a second factor, and who read of health of late."""

from __future__ import annotations

from typing import Final
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from athletes.api.health_views import HealthReadsView
from athletes.health_reads import health_reads_visible_to
from services.access.api.organisation_views import MembershipsView, OrganisationDetailView
from services.access.api.serializers import OrganisationOutput
from services.api.conditional import etag_of
from services.console.health_reads import reads_said
from services.console.my_send import ask, refusal
from services.console.page import OrganisationPage

LATEST: Final = 5
WHAT_TO_DO: Final = {
    "second_factor_required": "Sign in with a second factor of your own first: you would shut yourself out.",
    "precondition_failed": "Somebody else changed something meanwhile. What holds now stands here; decide anew.",
}


class OwnOrganisationPage(OrganisationPage):
    """For owners, as what it shows of reads is."""

    shows = (OrganisationDetailView, HealthReadsView, MembershipsView)
    does = {"PATCH": OrganisationDetailView}
    place = "organisation"

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        return self._page()

    def post(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        body = {"staff_second_factor": request.POST.get("wanted") == "yes"}
        tag = request.POST.get("tag", "")
        path = reverse("organisation", args=[organisation])
        answer = ask(request, path, body, method="PATCH", headers={"If-Match": tag})
        if answer.stored:
            return redirect(self.address("organisation"))
        told = refusal(answer.told, WHAT_TO_DO)
        return self._page(answer.status, " ".join(part for part in told.values() if part))

    def _page(self, status: int = 200, refused: str = "") -> HttpResponse:
        row = next(one for one in self.organisations if one.id == self.member.org_id)
        told = OrganisationOutput(row).data
        return self.show(
            "console/own_organisation.html",
            status,
            name=told["name"],
            wanted=told["staff_second_factor"],
            own=self.reader.with_factor,
            tag=etag_of(row),
            refused=refused,
            reads=reads_said(self.member, health_reads_visible_to(self.member), LATEST),
            all_reads=self.address("health-reads"),
        )
