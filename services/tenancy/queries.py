"""Reads of the tenancy tables; all but `actor_for` start at what the actor may see.

Here and in every app, `…_visible_to(actor)` narrows by role inside the organisation. The organisation itself is
the business of ScopedManager alone, as the layer above row-level security: a test takes each of the two away.
"""

from collections.abc import Iterable
from uuid import UUID

from django.db.models import QuerySet

from services.tenancy.actor import ALL_SCOPES, STAFF, Actor, Role
from services.tenancy.context import person, tenant
from services.tenancy.models import Invitation, Location, Membership, MembershipLocation, Organisation


def actor_for(person_id: UUID, org_id: UUID, scopes: Iterable[str] = ALL_SCOPES) -> Actor | None:
    """The person's standing in the organisation, or None for an outsider (two queries)."""
    with person(person_id):
        rows = Membership.unscoped.filter(person_id=person_id, org_id=org_id, is_active=True)
        membership = rows.select_related("org").first()
    if membership is None:
        return None
    with tenant(org_id):
        places = MembershipLocation.objects.filter(membership_id=membership.id)
        location_ids = frozenset(places.values_list("location_id", flat=True))
    return Actor(
        person_id=person_id,
        org_id=org_id,
        membership_id=membership.id,
        role=Role(membership.role),
        location_ids=location_ids,
        scopes=frozenset(scopes),
        wants_factor=membership.org.staff_second_factor and membership.role in STAFF,
    )


def organisations_of(person_id: UUID) -> QuerySet[Organisation]:
    """The organisations in which the person has an active membership; evaluate inside `person(...)`."""
    mine = Membership.unscoped.filter(person_id=person_id, is_active=True).values("org_id")
    return Organisation.objects.filter(id__in=mine)


def locations_visible_to(actor: Actor) -> QuerySet[Location]:
    """Every member sees every location of the organisation: programming is shared across them."""
    return Location.objects.all()


def memberships_visible_to(actor: Actor) -> QuerySet[Membership]:
    """Owners and coaches see all members; everybody else sees themselves."""
    rows = Membership.objects.select_related("person")
    return rows if actor.sees_all_athletes else rows.filter(person_id=actor.person_id)


def invitations_visible_to(actor: Actor) -> QuerySet[Invitation]:
    rows = Invitation.objects.all()
    return rows if actor.role == Role.OWNER else rows.none()
