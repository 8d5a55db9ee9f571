"""Writes at the door: organisations, places, members, invitations and tokens."""

import hashlib
import secrets
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

from django.db import IntegrityError, transaction
from django.utils import timezone
from knox.settings import knox_settings

from services.access.errors import AddressKnown, InvitationNotGood, LastOwner, SignInRefused
from services.access.models import ApiToken
from services.access.own_password import refuse_weak
from services.api.conditional import update_versioned
from services.changes.actions import record_change
from services.problems import Forbidden, NotFound
from services.tenancy.actor import ALL_SCOPES, Actor, Role
from services.tenancy.context import person as person_scope
from services.tenancy.context import setting, tenant
from services.tenancy.models import (
    Invitation,
    Location,
    Membership,
    MembershipLocation,
    Organisation,
    Person,
)

# Of a location: what the prescriptions of its sessions depend on.
ASKED_FOR = ("zone", "is_remote", "freeze_minutes")
INVITATION_LIFE = timedelta(days=14)
# From the least to the most that a role allows.
POWER = (Role.ATHLETE, Role.LOCATION_STAFF, Role.COACH, Role.OWNER)


def digest_of(secret: str) -> str:
    """Of a 256-bit random secret; nothing slower is needed for one."""
    return hashlib.sha256(secret.encode()).hexdigest()


@transaction.atomic
def found_organisation(*, name: str, owner_email: str, owner_name: str, password: str | None) -> Organisation:
    """Make an organisation with its first owner (an operator's act, there is no route for it)."""
    org = Organisation(id=uuid4(), name=name)
    with tenant(org.id):
        org.save(force_insert=True)
        owner = find_or_make_person(email=owner_email, name=owner_name, password=password)
        Membership.objects.create(org=org, person=owner, role=Role.OWNER)
    return org


def choose_units(*, person: Person, weights: str) -> Person:
    """In which unit the person reads weights, "kg" or "lb"; inside the person's own scope."""
    person.weights = weights
    person.save(update_fields=["weights"])
    return person


def find_or_make_person(*, email: str, name: str, password: str | None) -> Person:
    """A new person with the password, or, without one, the person whom the address belongs to.

    Raises AddressKnown for a password and an address that is known: whoever has it chose another one.
    """
    email = email.strip().lower()
    with setting("app.email", email):
        known = Person.objects.filter(email=email).first()
        if known is not None and password is not None:
            raise AddressKnown()
        return known or Person.objects.create_user(email=email, name=name, password=password)


def create_token(
    *,
    person: Person,
    label: str,
    scopes: Collection[str] = ALL_SCOPES,
    only_org: UUID | None = None,
    life: timedelta | None = None,
    with_factor: bool = False,
) -> tuple[ApiToken, str]:
    """A token row and the secret, which exists nowhere else from here on.

    It ends after `life`; without one, after 90 days in which it was not used, and a year at the latest. The person is
    as they were when they proved who they are: where the password was changed since, SignInRefused.
    """
    with transaction.atomic(), person_scope(person.id):
        _refuse_outdated(person)
        token, secret = ApiToken.objects.create(
            user=person,
            expiry=life or knox_settings.TOKEN_TTL,
            renews=life is None,
            label=label,
            scopes=sorted(scopes),
            only_org_id=only_org,
            with_factor=with_factor,
        )
    return token, secret


def _refuse_outdated(person: Person) -> None:
    """A change of the password ends all tokens; none that is being made meanwhile slips through (one query)."""
    rows = Person.objects.select_for_update(no_key=True).filter(id=person.id)
    if rows.values_list("password", flat=True).get() != person.password:
        raise SignInRefused()


@transaction.atomic
def create_location(*, actor: Actor, fields: dict[str, Any]) -> Location:
    return Location.objects.create(org_id=actor.org_id, **fields)


@transaction.atomic
def update_location(*, actor: Actor, location: Location, version: int, fields: dict[str, Any]) -> Location:
    """Change a location. What decides on prescriptions there asks for them; sessions placed are not moved.

    Their zone and date stay as they were: a clock that people go by is not set back under them.
    """
    before = {name: getattr(location, name) for name in ASKED_FOR}
    changed = update_versioned(location, version, **fields)
    if any(getattr(changed, name) != value for name, value in before.items()):
        record_change(kind="location", subject=location.id)
    return changed


@transaction.atomic
def update_member(
    *, actor: Actor, membership: Membership, version: int, role: Role | None, location_ids: list[UUID] | None
) -> Membership:
    """Change a member's role or the places of location staff."""
    if role is not None and role != Role.OWNER:
        _keep_an_owner(membership)
    changed = update_versioned(membership, version, **({"role": role.value} if role else {}))
    if location_ids is not None:
        _set_places(actor.org_id, changed, location_ids)
    return changed


@transaction.atomic
def end_membership(*, actor: Actor, membership: Membership, version: int) -> None:
    """Nothing that the member did disappears; they just cannot enter any more, by no older invitation either."""
    _keep_an_owner(membership)
    update_versioned(membership, version, is_active=False)
    open_ones = Invitation.objects.filter(email=membership.person.email, accepted_at=None)
    open_ones.update(expires_at=timezone.now())


def _keep_an_owner(membership: Membership) -> None:
    owners = Membership.objects.select_for_update().filter(role=Role.OWNER, is_active=True)
    others = [row for row in owners.order_by("id") if row.id != membership.id]
    if membership.role == Role.OWNER and not others:
        raise LastOwner()


def _set_places(org_id: UUID, membership: Membership, location_ids: list[UUID]) -> None:
    known = set(Location.objects.filter(id__in=location_ids).values_list("id", flat=True))
    if known != set(location_ids):
        raise NotFound("One of the locations does not exist in this organisation.")
    MembershipLocation.objects.filter(membership=membership).delete()
    MembershipLocation.objects.bulk_create(
        MembershipLocation(org_id=org_id, membership=membership, location_id=place) for place in sorted(known)
    )


@transaction.atomic
def invite(*, actor: Actor, email: str, role: Role, location_ids: list[UUID]) -> tuple[Invitation, str]:
    """An invitation and its secret, which the inviter passes on."""
    known = set(Location.objects.filter(id__in=location_ids).values_list("id", flat=True))
    if known != set(location_ids):
        raise NotFound("One of the locations does not exist in this organisation.")
    secret = secrets.token_urlsafe(32)
    invitation = Invitation.objects.create(
        org_id=actor.org_id,
        email=email.strip().lower(),
        role=role.value,
        location_ids=[str(place) for place in sorted(known)],
        digest=digest_of(secret),
        invited_by_id=actor.person_id,
        expires_at=timezone.now() + INVITATION_LIFE,
    )
    return invitation, secret


@transaction.atomic
def accept_invitation(*, secret: str, name: str, password: str) -> Membership:
    """Turn an invitation into a membership of a new person, who signs in with that address from now on.

    Nobody proves the address: without mail the inviting owner or coach vouches for it. The inviter has the
    secret too, so a known address is refused whatever the password is, which is not even looked at: this
    would be a way to guess it, or to set one, past the lock of the sign-in. That an address is known does
    show, to whoever may invite it.

    Raises InvitationNotGood, AddressKnown and PasswordTooWeak.
    """
    with _open_invitation(secret) as invitation:
        return _admit(invitation, _new_person(invitation.email, name, password))


@transaction.atomic
def join_by_invitation(*, person: Person, secret: str) -> Membership:
    """Turn an invitation into a membership of the signed-in person whose address it names.

    Raises InvitationNotGood, and Forbidden for somebody else's invitation.
    """
    with _open_invitation(secret) as invitation:
        if invitation.email != person.email:
            raise Forbidden("This invitation is for another e-mail address than the one of your sign-in.")
        return _admit(invitation, person)


@contextmanager
def _open_invitation(secret: str) -> Iterator[Invitation]:
    """The locked invitation, inside its organisation; InvitationNotGood for every bad secret alike."""
    digest = digest_of(secret)
    with setting("app.digest", digest):
        found = Invitation.unscoped.filter(digest=digest).first()
    if found is None:
        raise InvitationNotGood()
    with tenant(found.org_id):
        invitation = Invitation.objects.select_for_update().get(id=found.id)
        if invitation.accepted_at is not None or invitation.expires_at < timezone.now():
            raise InvitationNotGood()
        yield invitation


def _admit(invitation: Invitation, person: Person) -> Membership:
    """Begin the membership, or begin it again; an active one gains the role and places, and loses none.

    So no invitation takes the last owner away, or is a way for a coach to put an owner down.
    """
    membership, new = Membership.objects.select_for_update().get_or_create(
        org_id=invitation.org_id, person=person, defaults={"role": invitation.role}
    )
    places = {UUID(place) for place in invitation.location_ids}
    if not new:
        role = Role(invitation.role)
        if membership.is_active:
            role = max(role, Role(membership.role), key=POWER.index)
            places |= set(membership.places.values_list("location_id", flat=True))
        membership = update_versioned(membership, membership.version, role=role.value, is_active=True)
    _set_places(invitation.org_id, membership, sorted(places))
    invitation.accepted_at = timezone.now()
    invitation.save(update_fields=["accepted_at"])
    return membership


def _new_person(email: str, name: str, password: str) -> Person:
    with setting("app.email", email):
        if Person.objects.filter(email=email).exists():
            raise AddressKnown()
        refuse_weak(password, Person(email=email, name=name))
        try:
            with transaction.atomic():
                return Person.objects.create_user(email=email, name=name, password=password)
        except IntegrityError as error:  # another invitation made the person in the meantime
            raise AddressKnown() from error


def require_owner(actor: Actor) -> None:
    """Raise Forbidden unless an owner acts: nobody hands out more than they have."""
    if actor.role != Role.OWNER:
        raise Forbidden("Only an owner invites owners and coaches.")
