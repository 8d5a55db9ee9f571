"""The organisation itself, its places, its members."""

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from services.access import actions
from services.access.api import serializers as s
from services.access.errors import LastOwner
from services.api.conditional import update_versioned
from services.api.errors import SecondFactorRequired
from services.api.operation import Access, Idempotency, Operation
from services.api.views import OrganisationView
from services.problems import NotFound
from services.tenancy import queries
from services.tenancy.actor import COACHES, EVERYONE, OWNERS, Role, Scope
from services.tenancy.models import Location, Membership, Organisation

LOCATION_EXAMPLE = {
    "id": "7d2f6f9e-1d5d-4b55-8d2b-0b7a37f2b3b1",
    "version": 1,
    "name": "Harbour",
    "zone": "Europe/Lisbon",
    "is_remote": False,
    "freeze_minutes": 120,
}


class OrganisationDetailView(OrganisationView):
    operation = {
        "GET": Operation(id="read_organisation", output=s.OrganisationOutput, etag=True),
        "PATCH": Operation(
            id="update_organisation",
            input=s.OrganisationInput,
            output=s.OrganisationOutput,
            etag=True,
            if_match=True,
            errors=(SecondFactorRequired,),
        ),
    }
    access = {
        "GET": Access(EVERYONE, Scope.PROGRAMME_READ),
        "PATCH": Access(OWNERS, Scope.ADMIN),
    }

    def get(self, request: Request, organisation: UUID) -> Response:
        """The organisation."""
        return self.reply(Organisation.objects.get(id=organisation))

    def patch(self, request: Request, organisation: UUID) -> Response:
        """Rename the organisation, or say whether its staff need a second factor.

        Whoever asks for one has signed in with one, or they would be out themselves.
        """
        org = Organisation.objects.get(id=organisation)
        expected, told = self.expected_version(org), self.read_input()
        auth: Any = request.auth
        if told.get("staff_second_factor") and not auth.with_factor:
            raise SecondFactorRequired()
        return self.reply(update_versioned(org, expected, **told))


class LocationsView(OrganisationView):
    operation = {
        "GET": Operation(id="list_locations", output=s.LocationOutput, paged=True),
        "POST": Operation(
            id="create_location",
            input=s.LocationInput,
            output=s.LocationOutput,
            status=201,
            etag=True,
            response_example=LOCATION_EXAMPLE,
        ),
    }
    access = {
        "GET": Access(EVERYONE, Scope.PROGRAMME_READ),
        "POST": Access(OWNERS, Scope.ADMIN),
    }

    def get(self, request: Request, organisation: UUID) -> Response:
        """The organisation's locations by name."""
        return self.page(queries.locations_visible_to(self.actor), order=("name", "id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Add a location; its zone decides the local date of sessions placed there."""
        return self.reply(actions.create_location(actor=self.actor, fields=self.read_input()))


class LocationView(OrganisationView):
    operation = {
        "GET": Operation(id="read_location", output=s.LocationOutput, etag=True),
        "PATCH": Operation(
            id="update_location", input=s.LocationInput, output=s.LocationOutput, etag=True, if_match=True
        ),
    }
    access = {
        "GET": Access(EVERYONE, Scope.PROGRAMME_READ),
        "PATCH": Access(OWNERS, Scope.ADMIN),
    }

    def prepare(self, organisation: UUID, location: UUID) -> None:
        self.location: Location = self.get_object_or_404(queries.locations_visible_to(self.actor), location)

    def get(self, request: Request, organisation: UUID, location: UUID) -> Response:
        """One location."""
        return self.reply(self.location)

    def patch(self, request: Request, organisation: UUID, location: UUID) -> Response:
        """Change a location; sessions already placed keep their zone and date."""
        version = self.expected_version(self.location)
        return self.reply(
            actions.update_location(
                actor=self.actor, location=self.location, version=version, fields=self.read_input()
            )
        )


class MembershipsView(OrganisationView):
    operation = {"GET": Operation(id="list_memberships", output=s.MembershipOutput, paged=True)}
    access = {"GET": Access(EVERYONE, Scope.PROGRAMME_READ)}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Who belongs to the organisation; location staff and athletes see themselves."""
        rows = queries.memberships_visible_to(self.actor).prefetch_related("places")
        return self.page(rows, order=("created_at", "id"))


class MembershipView(OrganisationView):
    operation = {
        "GET": Operation(id="read_membership", output=s.MembershipOutput, etag=True),
        "PATCH": Operation(
            id="update_membership",
            input=s.MembershipInput,
            output=s.MembershipOutput,
            etag=True,
            if_match=True,
            errors=(LastOwner,),
        ),
        "DELETE": Operation(id="end_membership", status=204, if_match=True, errors=(LastOwner,)),
    }
    access = {
        "GET": Access(EVERYONE, Scope.PROGRAMME_READ),
        "PATCH": Access(OWNERS, Scope.ADMIN),
        "DELETE": Access(OWNERS, Scope.ADMIN),
    }

    def prepare(self, organisation: UUID, membership: UUID) -> None:
        rows = queries.memberships_visible_to(self.actor)
        self.membership: Membership = self.get_object_or_404(rows, membership)

    def get(self, request: Request, organisation: UUID, membership: UUID) -> Response:
        """One membership."""
        return self.reply(self.membership)

    def patch(self, request: Request, organisation: UUID, membership: UUID) -> Response:
        """Change a member's role, or the locations of location staff."""
        data = self.read_input()
        changed = actions.update_member(
            actor=self.actor,
            membership=self.membership,
            version=self.expected_version(self.membership),
            role=Role(data["role"]) if "role" in data else None,
            location_ids=data.get("locations"),
        )
        return self.reply(changed)

    def delete(self, request: Request, organisation: UUID, membership: UUID) -> Response:
        """End a membership; what the member did stays."""
        actions.end_membership(
            actor=self.actor, membership=self.membership, version=self.expected_version(self.membership)
        )
        return self.no_content()


class InvitationsView(OrganisationView):
    operation = {
        "GET": Operation(id="list_invitations", output=s.InvitationOutput, paged=True),
        "POST": Operation(
            id="create_invitation",
            input=s.InvitationInput,
            output=s.NewInvitationOutput,
            status=201,
            idempotency=Idempotency.EXEMPT,
            errors=(NotFound,),
        ),
    }
    access = {"GET": Access(OWNERS, Scope.ADMIN), "POST": Access(COACHES, Scope.ADMIN)}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Invitations, newest first."""
        return self.page(queries.invitations_visible_to(self.actor), order=("-created_at", "-id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Invite somebody; only owners invite owners and coaches."""
        data = self.read_input()
        role = Role(data["role"])
        if role in COACHES:
            actions.require_owner(self.actor)
        invitation: Any
        invitation, secret = actions.invite(
            actor=self.actor, email=data["email"], role=role, location_ids=data.get("locations", [])
        )
        invitation.secret = secret
        return self.reply(invitation)
