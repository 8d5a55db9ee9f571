"""What two people do at the door at once, in real transactions; each test makes organisations of its own."""

from __future__ import annotations

import threading
from collections.abc import Callable
from uuid import uuid4

import pytest
from django.db import connection, connections

from services.access.actions import accept_invitation, end_membership, invite, update_member
from services.access.errors import AddressKnown, LastOwner
from services.tenancy.actor import Role
from services.tenancy.context import tenant_transaction
from services.tenancy.models import Membership
from tests.support.cast import Cast, Member, add_member, make_cast, make_person

pytestmark = pytest.mark.usefixtures("committed")


class Rival:
    """Runs an action in a thread of its own, in a transaction of its own."""

    def __init__(self, action: Callable[[], object]) -> None:
        self.raised: Exception | None = None
        self._action, self._pid = action, 0
        self._connected = threading.Event()
        self._thread = threading.Thread(target=self._run)
        self._thread.start()

    def _run(self) -> None:
        try:
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_backend_pid()")
                self._pid = cursor.fetchone()[0]
            self._connected.set()
            self._action()
        except Exception as error:
            self.raised = error
        finally:
            self._connected.set()
            connections.close_all()

    def wait_until_stopped(self) -> None:
        """Until it waits for a lock that somebody else holds, or has ended."""
        self._connected.wait()
        blocked = False
        while self._thread.is_alive() and not blocked:
            with connection.cursor() as cursor:
                cursor.execute("SELECT cardinality(pg_blocking_pids(%s)) > 0", [self._pid])
                blocked = cursor.fetchone()[0]
            self._thread.join(0.01)

    def end(self) -> Exception | None:
        self._thread.join()
        return self.raised


def removal(cast: Cast, by: Member, of: Member, *, demote: bool) -> Callable[[], object]:
    def action() -> None:
        with tenant_transaction(cast.org.id):
            remove(cast, by, of, demote=demote)

    return action


def remove(cast: Cast, by: Member, of: Member, *, demote: bool) -> None:
    row = Membership.objects.get(person_id=of.person.id)
    assert by.actor is not None
    if demote:
        update_member(
            actor=by.actor, membership=row, version=row.version, role=Role.ATHLETE, location_ids=None
        )
    else:
        end_membership(actor=by.actor, membership=row, version=row.version)


@pytest.mark.parametrize("demote", [False, True], ids=["end", "demote"])
def test_of_two_owners_who_remove_each_other_one_stays(demote: bool) -> None:
    """The second one waits for the first, then is told that nobody else is left."""
    cast, second = make_cast("Two owners"), make_person("Nuno Reis")
    add_member(cast.org, second, Role.OWNER)
    with tenant_transaction(cast.org.id):
        remove(cast, cast.owner, second, demote=demote)
        rival = Rival(removal(cast, second, cast.owner, demote=demote))
        rival.wait_until_stopped()
    assert isinstance(rival.end(), LastOwner)
    with cast.inside():
        owners = Membership.objects.filter(role=Role.OWNER, is_active=True)
        assert [row.person_id for row in owners] == [cast.owner.person.id]


def test_of_two_invitations_of_a_new_address_one_makes_the_person() -> None:
    """Accepted at once in two organisations: the second is told to sign in, and its invitation stays open."""
    email, secrets = f"{uuid4().hex}@example.org", []
    for cast in (make_cast("First"), make_cast("Second")):
        assert cast.owner.actor is not None
        with cast.inside():
            invitation, secret = invite(
                actor=cast.owner.actor, email=email, role=Role.ATHLETE, location_ids=[]
            )
        secrets.append((invitation, secret, cast))
    (_, first, cast), (open_one, second, other) = secrets
    told = {"name": "Ilse Roth", "password": "harbour lights at dusk"}
    with tenant_transaction(cast.org.id):
        accept_invitation(secret=first, **told)
        rival = Rival(lambda: accept_invitation(secret=second, **told))
        rival.wait_until_stopped()
    assert isinstance(rival.end(), AddressKnown)
    with other.inside():
        open_one.refresh_from_db()
        assert open_one.accepted_at is None
