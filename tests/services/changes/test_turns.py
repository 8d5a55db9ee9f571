"""How much the relay hands out at once, and to whom: bounded, in turns, urgent apart from what may wait."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any
from uuid import uuid4

import pytest
from django.db import ProgrammingError, connections
from django.db.models import F

from services.changes import actions
from services.changes.models import Change
from services.changes.relay import Due, relay_once
from services.tenancy.context import tenant_transaction
from services.tenancy.models import Organisation
from tests.support.cast import make_organisation

pytestmark = pytest.mark.usefixtures("committed")

LOW = actions.LOW_PRIORITY


@pytest.fixture
def orgs(committed: None) -> Iterator[list[Organisation]]:
    """Three organisations; what other tests have left undone is done, or it would count as in flight."""
    with connections["relay"].cursor() as cursor:
        cursor.execute("SELECT DISTINCT org_id FROM changes_change WHERE version > done")
        undone = [found for (found,) in cursor.fetchall()]
    for org_id in undone:
        with tenant_transaction(org_id):
            Change.objects.update(done=F("version"))
    made = [make_organisation(f"Turns {number}") for number in range(3)]
    yield made
    for org in made:
        with tenant_transaction(org.id):
            Change.objects.all().delete()


def ask(org: Organisation, count: int, priority: int = 0) -> None:
    with tenant_transaction(org.id):
        actions.record_changes(kind="athlete", subjects=[uuid4() for _ in range(count)], priority=priority)


def send() -> list[Due]:
    """All that the relay hands out before somebody finishes something."""
    sent: list[Due] = []
    while relay_once(sent.append):
        pass
    return sent


def finish(due: Due) -> None:
    with tenant_transaction(due.org_id):
        actions.finish(actions.claim(due.change_id))


def test_the_number_in_flight_is_bounded(orgs: list[Organisation], settings: Any) -> None:
    """One organisation has a quarter of the bound, and one goes out for each that is done."""
    settings.CHANGE_IN_FLIGHT = 16
    ask(orgs[0], 9)
    first = send()
    assert len(first) == 4
    assert send() == []
    finish(first[0])
    assert len(send()) == 1


def test_the_bound_holds_for_all_together(orgs: list[Organisation], settings: Any) -> None:
    """Turns are taken: each has about as much in flight as the next, and the sum is the bound."""
    settings.CHANGE_IN_FLIGHT = 5
    for org in orgs:
        ask(org, 9)
    assert sorted(Counter(due.org_id for due in send()).values()) == [1, 2, 2]


def test_an_organisation_that_hangs_holds_no_other_up(orgs: list[Organisation], settings: Any) -> None:
    """Two have filled what may be in flight and nothing of theirs ends: the third still gets its turns."""
    settings.CHANGE_IN_FLIGHT = 1
    ask(orgs[0], 5)
    assert len(send()) == 1, "the bound is full"
    ask(orgs[1], 5)
    ask(orgs[2], 5)
    (one, two) = send()
    assert {one.org_id, two.org_id} == {orgs[1].id, orgs[2].id}
    for _ in range(4):
        finish(two)
        (two,) = send()
        assert two.org_id != orgs[0].id


def test_an_athlete_who_keeps_logging_holds_no_other_of_the_organisation_up(
    orgs: list[Organisation], settings: Any
) -> None:
    """Whose sets come in while they are worked out goes behind those who wait: counted, each has a turn first."""
    settings.CHANGE_IN_FLIGHT = 4  # one at a time for each organisation
    busy, others = uuid4(), [uuid4() for _ in range(5)]
    turns: list[Any] = []
    with tenant_transaction(orgs[0].id):
        actions.record_changes(kind="athlete", subjects=[busy])
    for _ in range(12):
        (due,) = send()
        with tenant_transaction(due.org_id):
            claimed = actions.claim(due.change_id)
            actions.record_changes(kind="athlete", subjects=[busy, *(others if not turns else [])])
        turns.append(claimed.subject)
        with tenant_transaction(due.org_id):
            actions.finish(claimed)
        if set(turns) == {busy, *others}:
            break
    assert turns[0] == busy
    assert sorted(turns[1:]) == sorted(others)
    assert [due.org_id for due in send()] == [orgs[0].id], "and then it is the busy one's turn again"


def test_what_may_wait_fills_only_its_own_bound(orgs: list[Organisation], settings: Any) -> None:
    """An import of a thousand leaves the way of a result free."""
    settings.CHANGE_IN_FLIGHT, settings.CHANGE_IN_FLIGHT_LOW = 8, 4
    ask(orgs[0], 1000, LOW)
    assert [due.priority for due in send()] == [LOW]
    ask(orgs[0], 3)
    assert [due.priority for due in send()] == [0, 0]


def test_the_relay_role_reads_no_error(orgs: list[Organisation]) -> None:
    """An error may quote a value of a person; the relay sees what its statements name."""
    for column in ("error", "subject", "kind", "*"):
        with (
            pytest.raises(ProgrammingError, match="permission denied"),
            connections["relay"].cursor() as cursor,
        ):
            cursor.execute(f"SELECT {column} FROM changes_change LIMIT 1")
