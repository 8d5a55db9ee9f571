"""The life of a change row: coalesce, send, claim, finish, fail, park. Real transactions, real relay role."""

from collections.abc import Iterator
from datetime import date
from uuid import UUID, uuid4

import pytest
from django.db import connection
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from services.changes import actions
from services.changes.models import Change
from services.changes.relay import Due, relay_once, seconds_until_due
from services.tenancy.context import tenant_transaction
from services.tenancy.models import Organisation
from tests.support.cast import make_organisation

pytestmark = pytest.mark.usefixtures("committed")


@pytest.fixture
def org(committed: None) -> Iterator[Organisation]:
    made = make_organisation("Change rows")
    yield made
    with tenant_transaction(made.id):
        Change.objects.all().delete()


def record(org: Organisation, subject: UUID, **fields: object) -> None:
    with tenant_transaction(org.id):
        actions.record_change(kind="athlete", subject=subject, **fields)


def row(org: Organisation, subject: UUID) -> Change:
    with tenant_transaction(org.id):
        return Change.objects.get(kind="athlete", subject=subject)


def send(org: Organisation, *, everybody: bool = False) -> list[Due]:
    sent: list[Due] = []
    relay_once(sent.append)
    return [due for due in sent if everybody or due.org_id == org.id]


def work(org: Organisation, due: Due) -> actions.Claim | None:
    with tenant_transaction(org.id):
        claimed = actions.claim(due.change_id)
        if claimed is not None:
            actions.finish(claimed)
    return claimed


def test_writes_to_one_subject_coalesce(org: Organisation) -> None:
    """Three writes are one row, one message, and the earliest date."""
    subject = uuid4()
    for day in (date(2026, 3, 9), date(2026, 3, 2), date(2026, 3, 5)):
        record(org, subject, from_date=day)
    stored = row(org, subject)
    assert (stored.version, stored.from_date) == (3, date(2026, 3, 2))
    (due,) = send(org)
    assert send(org) == []
    claimed = work(org, due)
    assert claimed is not None
    assert (claimed.version, claimed.subject) == (3, subject)
    stored = row(org, subject)
    assert (stored.done, stored.from_date, stored.tries) == (3, None, 0)
    assert send(org) == []


def test_what_comes_during_the_work_is_sent_after_it(org: Organisation) -> None:
    """A newer version waits for the one in flight, and is not lost with it."""
    subject = uuid4()
    record(org, subject)
    (due,) = send(org)
    with tenant_transaction(org.id):
        claimed = actions.claim(due.change_id)
    record(org, subject)
    assert send(org) == [], "the first message is still in flight"
    with tenant_transaction(org.id):
        actions.finish(claimed)
    (again,) = send(org)
    assert work(org, again).version == 2


def test_a_mark_that_comes_late_hides_nothing(org: Organisation) -> None:
    """Published, done and changed again before the relay marks the row as sent: the newer version goes out."""
    subject = uuid4()
    record(org, subject)

    def publish(due: Due) -> None:
        if due.org_id == org.id:
            work(org, due)
            record(org, subject)

    relay_once(publish)
    assert [due.version for due in send(org)] == [2]


def test_a_lost_message_is_sent_again_after_its_lease(org: Organisation, settings: object) -> None:
    """Not before the lease ends, and then however often it takes, without counting as a try."""
    subject = uuid4()
    record(org, subject)
    assert len(send(org)) == 1
    assert send(org) == []
    settings.CHANGE_LEASE_S = 0.0
    for _ in range(8):
        assert len(send(org)) == 1
    assert row(org, subject).tries == 0


def test_a_broker_that_is_down_leaves_the_rest_unmarked(org: Organisation) -> None:
    """The error is raised; what was published is marked, what was not goes out next time."""
    for _ in range(3):
        record(org, uuid4())
    seen: list[Due] = []

    def publish(due: Due) -> None:
        if len([d for d in seen if d.org_id == org.id]) == 1 and due.org_id == org.id:
            raise OSError("connection refused")
        seen.append(due)

    with pytest.raises(OSError, match="refused"):
        relay_once(publish)
    assert len(send(org)) == 2


def test_poison_is_put_off_and_then_parked(org: Organisation, settings: object) -> None:
    """Each failure waits longer; after the last try the row is parked with its error."""
    settings.CHANGE_MAX_TRIES = 3
    subject = uuid4()
    record(org, subject)
    change_id = row(org, subject).id
    waits, parked = [], []
    for _ in range(3):
        with tenant_transaction(org.id):
            claimed = actions.claim(change_id)
            parked.append(actions.fail(claimed, "ZeroDivisionError: a test's fault"))
            with connection.cursor() as cursor:
                cursor.execute(
                    "SELECT round(extract(epoch FROM due_at - clock_timestamp())) FROM changes_change WHERE id = %s",
                    [change_id],
                )
                waits.append(int(cursor.fetchone()[0]))
    assert parked == [False, False, True]
    assert waits == [2, 4, 8]
    stored = row(org, subject)
    assert stored.parked_at is not None
    assert stored.error == "ZeroDivisionError: a test's fault"
    assert send(org) == []
    with tenant_transaction(org.id):
        assert actions.claim(change_id) is None
        assert actions.retry(change_id) is None
    assert len(send(org)) == 1
    assert row(org, subject).tries == 0


def fails(org: Organisation, change_id: UUID) -> bool:
    """A try that ends with an error; whether that parks the change."""
    with tenant_transaction(org.id):
        claimed = actions.claim(change_id)
        assert claimed is not None
        assert not claimed.abandoned
        return actions.fail(claimed, "ZeroDivisionError: a test's fault")


def later(org: Organisation, change_id: UUID, seconds: int) -> None:
    """As if so many seconds had passed."""
    with tenant_transaction(org.id), connection.cursor() as cursor:
        cursor.execute(
            "UPDATE changes_change SET due_at = due_at - make_interval(secs => %s) WHERE id = %s",
            [seconds, change_id],
        )


def test_writes_take_no_try_back(org: Organisation, settings: object) -> None:
    """While people go on logging, what fails waits as without them, and is parked after as many tries."""
    settings.CHANGE_MAX_TRIES = 3
    subject = uuid4()
    record(org, subject)
    change_id = row(org, subject).id
    parked = []
    for _ in range(3):
        parked.append(fails(org, change_id))
        due_at = row(org, subject).due_at
        if not parked[-1]:
            record(org, subject)
            assert row(org, subject).due_at == due_at
            assert send(org) == [], "a write does not hurry what has just failed"
    assert parked == [False, False, True]


def test_a_write_frees_what_is_parked_for_one_try(org: Organisation, settings: object) -> None:
    """Not before a rest of twice the last wait, 16 s after the third try; the one try parks it again, or ends it."""
    settings.CHANGE_MAX_TRIES = 3
    subject = uuid4()
    record(org, subject)
    change_id = row(org, subject).id
    assert [fails(org, change_id) for _ in range(3)] == [False, False, True]
    for _ in range(2):
        parked_at = row(org, subject).parked_at
        for _ in range(5):
            record(org, subject)
        freed = row(org, subject)
        assert (freed.parked_at, freed.tries) == (None, 2)
        assert freed.error, "why it was parked stays until it is done"
        assert (freed.due_at - parked_at).total_seconds() == 16.0
        assert send(org) == []
        later(org, change_id, 16)
        assert len(send(org)) == 1
        assert fails(org, change_id), "one try, not three"
    record(org, subject)
    later(org, change_id, 16)
    (due,) = send(org)
    assert work(org, due) is not None
    done = row(org, subject)
    assert (done.parked_at, done.tries, done.error, done.done) == (None, 0, "", done.version)


def test_what_is_worked_on_is_not_sent_again(org: Organisation, settings: object) -> None:
    """A long recompute renews its lease with each part, so that no second worker begins it; then it is lost."""
    settings.CHANGE_LEASE_S = 30.0
    subject = uuid4()
    record(org, subject)
    (due,) = send(org)
    with tenant_transaction(org.id):
        claimed = actions.claim(due.change_id)
    for renewed in (True, False):
        with tenant_transaction(org.id), connection.cursor() as cursor:
            cursor.execute("UPDATE changes_change SET sent_at = sent_at - interval '31 s'")
            if renewed:
                actions.renew_lease(claimed)
        assert len(send(org)) == (0 if renewed else 1)


def test_a_change_that_kills_its_worker_is_counted(org: Organisation) -> None:
    """The claim is committed before the work, so a worker that vanishes leaves its try behind."""
    subject = uuid4()
    record(org, subject)
    change_id = row(org, subject).id
    for tries in (1, 2):
        with tenant_transaction(org.id):
            actions.claim(change_id)
        assert row(org, subject).tries == tries


def test_a_delayed_change_waits_and_an_urgent_one_hurries_it(org: Organisation) -> None:
    """`delay_s` gathers; the earlier of two due times holds."""
    subject = uuid4()
    record(org, subject, delay_s=60.0)
    assert send(org) == []
    assert 0.0 < seconds_until_due() <= 60.0
    record(org, subject)
    assert len(send(org)) == 1


def test_urgent_goes_before_low_priority(org: Organisation) -> None:
    """Messages leave in order of priority."""
    low, high = uuid4(), uuid4()
    record(org, low, priority=actions.LOW_PRIORITY)
    record(org, high)
    assert [due.priority for due in send(org)] == [0, actions.LOW_PRIORITY]


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.sampled_from(["record", "send", "work", "lose"]), max_size=25))
def test_nothing_recorded_stays_undone(org: Organisation, events: list[str]) -> None:
    """Whatever the order of writes, sends, losses and work: a drained queue means every version is covered."""
    subject, inbox = uuid4(), []
    for event in events:
        if event == "record":
            record(org, subject)
        elif event == "send":
            inbox += send(org)
        elif event == "lose":
            inbox.clear()
        elif inbox:
            work(org, inbox.pop(0))
    for _ in range(3):
        with tenant_transaction(org.id), connection.cursor() as cursor:
            # The lease of every lost message ends now.
            cursor.execute("UPDATE changes_change SET sent_at = sent_at - interval '1 hour'")
        for due in send(org):
            work(org, due)
    with tenant_transaction(org.id):
        assert not [change for change in Change.objects.all() if change.version > change.done]
