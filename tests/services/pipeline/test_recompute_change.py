"""What becomes of a change whose worker dies, whose subject is taken, or that asks for further changes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from functools import partial
from typing import Any
from uuid import UUID, uuid4

import psycopg
import pytest
from django.conf import settings as configured
from django.db import connections, transaction
from django.utils import timezone

from athletes.actions.limitations import add_limitation
from athletes.models import Capacity
from programming.plans import SessionPlan
from scoring.actions import prescriptions
from scoring.models import Prescription
from services.changes.actions import LOW_PRIORITY, record_change
from services.changes.models import Change
from services.pipeline import recompute
from services.pipeline.steps import Part
from services.tenancy.context import tenant_transaction
from services.tenancy.models import Organisation
from tests.scoring.sessions import SWINGS, place
from tests.support.cast import make_organisation
from tests.support.faults import poisoned_plan
from tests.support.world import add_athlete, drain, make_world

pytestmark = pytest.mark.usefixtures("committed")


def recorded(org: Organisation, subject: UUID, **fields: int) -> UUID:
    with tenant_transaction(org.id):
        record_change(kind="athlete", subject=subject, **fields)
    return row(org, subject).id


def row(org: Organisation, subject: UUID) -> Change:
    with tenant_transaction(org.id):
        return Change.objects.get(kind="athlete", subject=subject)


def dies(claimed: object) -> None:
    """As far as the database sees, a killed worker: the transaction ends, nothing more is said."""
    raise SystemExit(9)


def test_a_change_that_kills_its_workers_is_parked(monkeypatch: pytest.MonkeyPatch, settings: object) -> None:
    """All tries begun, none ended: the next claim sets it aside with a reason, and a new write frees it for one."""
    settings.CHANGE_MAX_TRIES = 3  # type: ignore[attr-defined]
    org, subject = make_organisation("Deadly"), uuid4()
    change_id = recorded(org, subject)
    monkeypatch.setitem(recompute.HANDLERS, "athlete", dies)
    for begun in (1, 2, 3):
        with pytest.raises(SystemExit):
            recompute.recompute_change(org_id=org.id, change_id=change_id)
        assert (row(org, subject).tries, row(org, subject).parked_at) == (begun, None)
    assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "parked"
    parked = row(org, subject)
    assert (parked.error, parked.tries, parked.done) == (recompute.WORKER_DIED, 3, 0)
    assert parked.parked_at is not None
    assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "nothing"
    monkeypatch.setitem(recompute.HANDLERS, "athlete", lambda claimed: None)
    recorded(org, subject)
    assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "done"
    assert (row(org, subject).parked_at, row(org, subject).error) == (None, "")


@pytest.mark.parametrize("begun", [0, 5])
def test_a_held_subject_costs_no_try(monkeypatch: pytest.MonkeyPatch, begun: int) -> None:
    """Another worker has it: however often that is found, no try is used up, and nothing is parked meanwhile."""
    org, subject = make_organisation("Held"), uuid4()
    change_id = recorded(org, subject)
    with tenant_transaction(org.id):
        Change.objects.filter(id=change_id).update(tries=begun)
    address = connections["default"].get_connection_params()
    known = {name: address[name] for name in ("dbname", "user", "password", "host", "port")}
    with psycopg.connect(**known) as other:
        other.execute(
            "SELECT pg_advisory_xact_lock(hashtextextended(%s, 0))", [f"{org.id}/athlete/{subject}"]
        )
        for _ in range(configured.CHANGE_MAX_TRIES + 2):
            assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "held"
            assert (row(org, subject).tries, row(org, subject).parked_at) == (begun, None)


@pytest.mark.parametrize(("priority", "handed_on"), [(0, 1), (LOW_PRIORITY, LOW_PRIORITY)])
def test_what_may_wait_asks_for_nothing_urgent(priority: int, handed_on: int) -> None:
    """A session's athletes come after results, and those of a session that may wait may wait too."""
    world = make_world()
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    drain(world.cast)
    with world.cast.inside():
        record_change(kind="session", subject=world.session.id, priority=priority)
        change = Change.objects.get(kind="session", subject=world.session.id)
    assert recompute.recompute_change(org_id=world.cast.org.id, change_id=change.id) == "done"
    assert row(world.cast.org, athlete.id).priority == handed_on


def parts_that(*outcomes: Exception | None) -> tuple[list[str], list[Part]]:
    """Parts of a change, each noting that it was done and raising what is given; and the notes."""
    done: list[str] = []

    def run(name: str, error: Exception | None) -> None:
        record_change(kind="ranking", subject=uuid4())
        if error is not None:
            raise error
        done.append(name)

    names = [f"part {number}" for number in range(len(outcomes))]
    return done, [Part(n, partial(run, n, e)) for n, e in zip(names, outcomes, strict=True)]


def test_a_part_that_fails_takes_nothing_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """What came before it and what comes after is stored, its own rows are not; and the version is not done."""
    org, subject = make_organisation("Parts"), uuid4()
    change_id = recorded(org, subject)
    done, parts = parts_that(None, ZeroDivisionError("a test's fault"), None)
    monkeypatch.setitem(recompute.HANDLERS, "athlete", lambda claimed: parts)
    assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "failed"
    assert done == ["part 0", "part 2"]
    with tenant_transaction(org.id):
        assert Change.objects.filter(kind="ranking").count() == 2
    failed = row(org, subject)
    assert (failed.done, failed.tries) == (0, 1)
    assert failed.error == "PartsFailedError: part 1: ZeroDivisionError: a test's fault"


def test_each_part_is_a_transaction_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """None is open for longer than one part takes."""
    org, subject = make_organisation("Short"), uuid4()
    change_id = recorded(org, subject)
    seen: list[int] = []

    def note(*_: object) -> None:
        with connections["default"].cursor() as cursor:
            cursor.execute("SELECT pg_current_xact_id()::text::bigint")
            seen.append(cursor.fetchone()[0])

    def handler(claimed: object) -> list[Part]:
        note()
        return [Part("one", note), Part("two", note)]

    monkeypatch.setitem(recompute.HANDLERS, "athlete", handler)
    assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "done"
    assert len(set(seen)) == 3
    assert (row(org, subject).done, row(org, subject).tries) == (1, 0)


def test_of_several_that_fail_together_each_is_tried_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is well of them is stored after all, and the error names the one that is not."""
    org, subject = make_organisation("Split"), uuid4()
    change_id = recorded(org, subject)
    done, each = parts_that(None, ZeroDivisionError("a test's fault"), None)
    together = Part("all of them", lambda: [part.run() for part in each], tuple(each))
    last, (after,) = parts_that(None)
    monkeypatch.setitem(recompute.HANDLERS, "athlete", lambda claimed: [together, after])
    assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "failed"
    assert (done, last) == (["part 0", "part 0", "part 2"], ["part 0"])
    with tenant_transaction(org.id):
        assert Change.objects.filter(kind="ranking").count() == 3
    assert row(org, subject).error == "PartsFailedError: part 1: ZeroDivisionError: a test's fault"


def test_who_finds_the_subject_taken_between_two_parts_leaves_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Another worker has begun it anew: two never write at once, and the version is that one's to finish."""
    org, subject = make_organisation("Taken"), uuid4()
    change_id = recorded(org, subject)
    done, parts = parts_that(None, None)
    address = connections["default"].get_connection_params()
    known = {name: address[name] for name in ("dbname", "user", "password", "host", "port")}
    with psycopg.connect(**known) as other:

        def take() -> None:
            """Between the parts, as soon as the first one has let go: here from the other's own connection."""
            transaction.on_commit(
                lambda: other.execute(
                    "SELECT pg_advisory_xact_lock(hashtextextended(%s, 0))", [f"{org.id}/athlete/{subject}"]
                )
            )

        monkeypatch.setitem(recompute.HANDLERS, "athlete", lambda claimed: [Part("takes", take), *parts])
        assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "held"
    assert done == []
    assert (row(org, subject).done, row(org, subject).tries) == (0, 0)


def poisoned_calculation(bad: UUID, monkeypatch: pytest.MonkeyPatch) -> None:
    well = prescriptions.work_out

    def poisoned(plan: SessionPlan, *rest: Any) -> object:
        if plan.session_id == bad:
            raise ZeroDivisionError("a test's fault")
        return well(plan, *rest)

    monkeypatch.setattr(prescriptions, "work_out", poisoned)


@pytest.mark.parametrize("poison", [poisoned_calculation, poisoned_plan])
def test_a_session_that_cannot_be_worked_out_holds_nothing_else_up(
    poison: Callable[[UUID, pytest.MonkeyPatch], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Capacity and the other session's prescription are stored; the error names the session until it is well."""
    world = make_world()
    athlete = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9, "goblet_squat": 18})
    other = place(world, SWINGS)
    poison(world.session.id, monkeypatch)
    change_id = row(world.cast.org, athlete.id).id
    assert recompute.recompute_change(org_id=world.cast.org.id, change_id=change_id) == "failed"
    failed = row(world.cast.org, athlete.id)
    assert f"session {world.session.id}: ZeroDivisionError" in failed.error
    assert str(other.id) not in failed.error
    assert failed.done < failed.version
    with world.cast.inside():
        assert Capacity.objects.filter(athlete=athlete).exists()
        assert set(Prescription.objects.values_list("session_id", flat=True)) == {other.id}
    monkeypatch.undo()
    assert recompute.recompute_change(org_id=world.cast.org.id, change_id=change_id) == "done"
    with world.cast.inside():
        issued = set(Prescription.objects.values_list("session_id", "number"))
        assert issued == {(other.id, 1), (world.session.id, 1)}


def test_what_is_written_between_two_sessions_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """A limit that comes while the first session is worked out holds in the second: nothing is prescribed past it."""
    world = make_world()
    athlete = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9, "goblet_squat": 18})
    later = place(world, SWINGS)
    well, actor, limited = prescriptions.work_out, world.cast.coach.actor, False
    assert actor is not None
    today = timezone.now().date()

    def work_out(*given: Any) -> object:
        nonlocal limited
        found = well(*given)
        if not limited:
            limited = True
            add_limitation(actor=actor, athlete=athlete, hazard="lower_back", from_date=today)
        return found

    monkeypatch.setattr(prescriptions, "work_out", work_out)
    change_id = row(world.cast.org, athlete.id).id
    assert recompute.recompute_change(org_id=world.cast.org.id, change_id=change_id) == "done"
    changed = row(world.cast.org, athlete.id)
    assert changed.version > changed.done
    with world.cast.inside():
        told = Prescription.objects.get(session=later)
        assert told.basis["hazards_limited"] == ["lower_back"]


def test_every_part_begins_with_a_fresh_lease(monkeypatch: pytest.MonkeyPatch) -> None:
    """After one that failed too, whose own word was taken back: else a second worker is sent for the rest."""
    org, subject = make_organisation("Leased"), uuid4()
    change_id = recorded(org, subject)
    ages: list[float] = []

    def age() -> None:
        """Note how old the lease is, and let it be as old as one that runs out."""
        with connections["default"].cursor() as cursor:
            cursor.execute(
                "SELECT extract(epoch FROM clock_timestamp() - sent_at) FROM changes_change WHERE id = %s",
                [change_id],
            )
            ages.append(float(cursor.fetchone()[0]))
        Change.objects.filter(id=change_id).update(sent_at=long_ago)

    def age_and_fail() -> None:
        age()
        raise ZeroDivisionError("a test's fault")

    def handler(claimed: object) -> list[Part]:
        age()
        return [Part("one", age), Part("two", age_and_fail), Part("three", age), Part("four", age)]

    long_ago = timezone.now() - dt.timedelta(hours=1)
    with tenant_transaction(org.id):
        Change.objects.filter(id=change_id).update(sent_at=long_ago)
    monkeypatch.setitem(recompute.HANDLERS, "athlete", handler)
    assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "failed"
    first, *parts = ages
    assert first >= 3600.0
    assert len(parts) == 4 and max(parts) < 600.0


def test_a_transaction_of_an_organisation_leaves_nothing_on_the_connection() -> None:
    """Neither one of its own, nor one inside of another, which goes on as it was."""
    org, other = make_organisation("Own"), make_organisation("Other")

    def seen() -> str:
        with connections["default"].cursor() as cursor:
            cursor.execute("SELECT coalesce(current_setting('app.org', true), '')")
            return str(cursor.fetchone()[0])

    with tenant_transaction(org.id):
        assert seen() == str(org.id)
        with tenant_transaction(other.id):
            assert seen() == str(other.id)
        assert seen() == str(org.id)
    assert seen() == ""
    with transaction.atomic():
        with tenant_transaction(org.id):
            assert seen() == str(org.id)
        assert seen() == ""
