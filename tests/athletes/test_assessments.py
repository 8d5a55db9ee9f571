"""Tests as actions: what is refused, what an accepted one tells, and corrections."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import DatabaseError, transaction

from athletes.actions.assessments import Performance, correct_assessment, record_assessment
from athletes.errors import AlreadyCorrected, BodyMassMissing, ClientIdReused, NotALoad, NotYourLocation
from athletes.models import Assessment, Observation
from athletes.performed import Settings
from services.changes.models import Change
from services.problems import Forbidden, Invalid
from tests.athletes.conftest import NOW, Team, days_ago

pytestmark = pytest.mark.django_db


def record(team: Team, key: str, *, athlete=None, actor=None, client_id=None, **told):
    told = {"kind": "to_failure", "repetitions": 9, "performed_at": days_ago(3)} | told
    return record_assessment(
        actor=actor or team.cast.coach.actor,
        athlete=athlete or team.noor,
        variation_id=team.variation(key),
        tested=Performance(**told),
        now=NOW,
        client_id=client_id,
    )


def places(refused) -> set[tuple[str, str]]:
    return {(error.pointer, error.code) for error in refused.value.errors}


@pytest.mark.parametrize(
    ("told", "kind", "rir"),
    [
        ({"kind": "to_failure"}, "to_failure", None),
        ({"kind": "to_failure", "repetitions": 0}, "zero", None),
        ({"kind": "to_failure", "ended_by": "pain"}, "at_least_weak", None),
        ({"kind": "with_rir", "rir": 3}, "rir", 3.0),
        ({"kind": "with_rir", "rir": 3, "ended_by": "clock"}, "at_least_weak", None),
        ({"kind": "planned"}, "at_least", None),
        ({"kind": "planned", "ended_by": "no_rep"}, "at_least_weak", None),
        ({"kind": "one_rm", "repetitions": 1}, "one_rm", None),
        ({"kind": "one_rm", "repetitions": 0}, "zero", None),
    ],
)
def test_how_a_test_ended_decides_what_it_tells(inside: Team, told, kind, rir):
    """Only a set to failure bounds from above; pain, judge and clock make a weak lower bound."""
    assessment, created = record(inside, "deadlift_barbell", settings=Settings(load_kg=100.0), **told)

    assert created
    seen = Observation.objects.get(source="assessment", source_id=assessment.id)
    assert (seen.kind, seen.rir, seen.load_kg) == (kind, rir, 100.0)
    assert seen.repetitions == assessment.repetitions


def test_nothing_done_before_pain_tells_nothing(inside: Team):
    """At least none is no observation; the test itself is stored."""
    assessment, _ = record(
        inside, "deadlift_barbell", settings=Settings(load_kg=100.0), repetitions=0, ended_by="pain"
    )

    assert Assessment.objects.filter(id=assessment.id).exists()
    assert not Observation.objects.exists()


@pytest.mark.parametrize(
    ("key", "told", "place"),
    [
        ("row_45", {"settings": Settings(load_kg=5.0)}, ("#/load_kg", "not_adjustable")),
        ("row_45", {"settings": Settings(height_cm=30.0)}, ("#/height_cm", "not_adjustable")),
        ("row_45", {"settings": Settings(assistance_kg=5.0)}, ("#/assistance_kg", "not_adjustable")),
        ("pull_up", {"settings": Settings(load_kg=0.0)}, ("#/load_kg", "out_of_range")),
        ("pull_up", {"settings": Settings(load_kg=-4.0)}, ("#/load_kg", "out_of_range")),
        ("pull_up", {"settings": Settings(load_kg=501.0)}, ("#/load_kg", "out_of_range")),
        ("pull_up", {"settings": Settings(load_kg=float("nan"))}, ("#/load_kg", "out_of_range")),
        ("pull_up", {"settings": Settings(5.0, 5.0)}, ("#/assistance_kg", "contradiction")),
        ("deadlift_barbell", {}, ("#/load_kg", "required")),
        ("push_up_hands_raised", {}, ("#/height_cm", "required")),
        ("push_up_hands_raised", {"settings": Settings(height_cm=250.0)}, ("#/height_cm", "out_of_range")),
        ("row_45", {"repetitions": 2001}, ("#/repetitions", "out_of_range")),
        ("row_45", {"repetitions": -1}, ("#/repetitions", "out_of_range")),
        ("row_45", {"kind": "one_rm", "repetitions": 2}, ("#/repetitions", "contradiction")),
        ("row_45", {"kind": "planned", "repetitions": 0}, ("#/repetitions", "out_of_range")),
        ("row_45", {"kind": "with_rir"}, ("#/rir", "contradiction")),
        ("row_45", {"rir": 2}, ("#/rir", "contradiction")),
        ("row_45", {"kind": "with_rir", "rir": 11}, ("#/rir", "out_of_range")),
        ("row_45", {"ended_by": "planned"}, ("#/ended_by", "contradiction")),
        ("row_45", {"kind": "planned", "ended_by": "failure"}, ("#/ended_by", "contradiction")),
        ("row_45", {"kind": "strongest"}, ("#/kind", "unknown_kind")),
    ],
)
def test_what_does_not_suit_the_variation_is_refused_at_its_place(inside: Team, key, told, place):
    """Each fault has a pointer; nothing is stored."""
    inside.weigh(inside.noor, 68.0)

    with pytest.raises(Invalid) as refused:
        record(inside, key, **told)

    assert place in places(refused)
    assert not Assessment.objects.exists()
    assert not Observation.objects.exists()


def test_every_fault_is_listed_at_once(inside: Team):
    """A client need not send four times to learn of four faults."""
    with pytest.raises(Invalid) as refused:
        record(inside, "row_45", settings=Settings(1.0, 2.0, 3.0), repetitions=2001)

    assert len(places(refused)) >= 4


def test_a_test_of_tomorrow_is_refused(inside: Team):
    """A clock may be five minutes ahead, not a day; the detail says to check it."""
    inside.weigh(inside.noor, 68.0)
    record(inside, "row_45", performed_at=NOW + dt.timedelta(minutes=4))

    with pytest.raises(Invalid) as refused:
        record(inside, "row_45", performed_at=NOW + dt.timedelta(days=1))

    assert places(refused) == {("#/performed_at", "in_the_future")}
    assert "clock" in refused.value.errors[0].detail


def test_the_local_date_is_the_athletes(inside: Team):
    """Late in the evening in UTC is the next day further east; it is stored, and stays, as it was there."""
    inside.noor.zone = "Asia/Tokyo"
    inside.noor.save(update_fields=["zone"])
    late = dt.datetime(2030, 3, 10, 16, 0, tzinfo=dt.UTC)

    assessment, _ = record(inside, "deadlift_barbell", settings=Settings(60.0), performed_at=late)

    assert assessment.local_date == dt.date(2030, 3, 11)
    assert (assessment.zone, Observation.objects.get().local_date) == ("Asia/Tokyo", dt.date(2030, 3, 11))


def test_body_weight_work_needs_a_weighing(inside: Team):
    """Refused with what to do; a barbell needs none, and a weighing after the test serves as well."""
    with pytest.raises(BodyMassMissing) as refused:
        record(inside, "pull_up")
    assert "weighing first" in refused.value.detail
    record(inside, "deadlift_barbell", settings=Settings(load_kg=60.0))

    inside.weigh(inside.noor, 68.0, days=1)

    assert record(inside, "pull_up")[1]


def test_more_assistance_than_body_mass_is_no_load(inside: Team):
    """Nothing is left to move."""
    inside.weigh(inside.noor, 68.0)
    with pytest.raises(NotALoad):
        record(inside, "pull_up", settings=Settings(assistance_kg=68.0))


def test_the_same_client_id_stores_once(inside: Team):
    """Same content: the stored row. Another content, or another athlete: refused."""
    inside.weigh(inside.noor, 68.0)
    inside.weigh(inside.bram, 80.0)
    first, created = record(inside, "row_45", client_id="phone-1")
    again, created_again = record(inside, "row_45", client_id="phone-1")

    assert (created, created_again) == (True, False)
    assert first.id == again.id
    assert Observation.objects.count() == 1
    with pytest.raises(ClientIdReused):
        record(inside, "row_45", client_id="phone-1", repetitions=10)
    with pytest.raises(ClientIdReused):
        record(inside, "row_45", client_id="phone-1", athlete=inside.bram)


def test_a_correction_replaces_what_was_seen_and_keeps_what_was_sent(inside: Team):
    """One observation remains, from the new row; the old row stays; the change dates from the earlier day."""
    inside.weigh(inside.noor, 68.0)
    wrong, _ = record(inside, "row_45", repetitions=40, performed_at=days_ago(8))
    Change.objects.all().delete()

    def correct(assessment, **more):
        return correct_assessment(
            actor=inside.cast.coach.actor,
            assessment=assessment,
            variation_id=inside.variation("row_45"),
            tested=Performance("to_failure", 19, days_ago(6)),
            reason="The judge counted twice.",
            now=NOW,
            **more,
        )

    right, created = correct(wrong, client_id="fix-1")

    assert created
    assert (right.replaces_id, right.reason) == (wrong.id, "The judge counted twice.")
    assert Observation.objects.get().source_id == right.id
    assert Assessment.objects.get(id=wrong.id).repetitions == 40
    change = Change.objects.get(kind="athlete", subject=inside.noor.id)
    assert change.from_date == days_ago(8).date()
    assert correct(wrong, client_id="fix-1") == (right, False)
    with pytest.raises(AlreadyCorrected):
        correct(wrong, client_id="fix-2")
    with pytest.raises(Invalid):
        correct_assessment(
            actor=inside.cast.coach.actor, assessment=right, variation_id=inside.variation("row_45"),
            tested=Performance("to_failure", 18, days_ago(6)), reason="  ", now=NOW,
        )  # fmt: skip


def test_a_stored_test_cannot_be_changed(inside: Team):
    """The database itself refuses the app role."""
    assessment, _ = record(inside, "deadlift_barbell", settings=Settings(load_kg=60.0))
    for change in (
        lambda: Assessment.objects.filter(id=assessment.id).update(repetitions=90),
        lambda: Assessment.objects.filter(id=assessment.id).delete(),
    ):
        with pytest.raises(DatabaseError), transaction.atomic():
            change()


def test_each_change_asks_for_the_recompute_in_its_own_transaction(inside: Team):
    """Rolled back together: no change without a row, no row without a change."""
    Change.objects.all().delete()
    with transaction.atomic():
        record(inside, "deadlift_barbell", settings=Settings(load_kg=60.0))
        assert Change.objects.filter(subject=inside.noor.id).exists()
        transaction.set_rollback(True)

    assert not Change.objects.exists()
    assert not Assessment.objects.exists()


def test_who_may_record(inside: Team):
    """Athletes their own; staff those of their location; nobody else."""
    cast = inside.cast
    barbell = {"settings": Settings(load_kg=60.0)}
    record(inside, "deadlift_barbell", athlete=inside.ayo, actor=cast.athlete.actor, **barbell)
    record(inside, "deadlift_barbell", athlete=inside.noor, actor=cast.staff.actor, **barbell)
    with pytest.raises(Forbidden):
        record(inside, "deadlift_barbell", athlete=inside.noor, actor=cast.athlete.actor, **barbell)
    with pytest.raises(NotYourLocation):
        record(inside, "deadlift_barbell", athlete=inside.bram, actor=cast.staff.actor, **barbell)
