"""Whoever watches over the service sees that changes wait, are late, or hang."""

from __future__ import annotations

from uuid import uuid4

import pytest

from services.changes.actions import claim, park, record_change
from services.changes.models import Change
from services.pipeline.gauges import ChangeGauges
from services.tenancy.context import tenant_transaction
from tests.support.cast import make_organisation

pytestmark = pytest.mark.usefixtures("committed")


def read() -> dict[str, float]:
    return {metric.name: metric.samples[0].value for metric in ChangeGauges().collect()}


def test_waiting_late_and_parked_are_told_apart() -> None:
    """One comes and is an hour late, then is set aside, then is gone; all by what stands in the database."""
    org, subject = make_organisation("Watched"), uuid4()
    before = read()
    waiting, parked = before["dosewright_changes_waiting"], before["dosewright_changes_parked"]
    with tenant_transaction(org.id):
        record_change(kind="athlete", subject=subject, delay_s=-3600.0)
        change = Change.objects.get(subject=subject)
    there = read()
    assert there["dosewright_changes_waiting"] == waiting + 1
    assert there["dosewright_changes_overdue_seconds"] >= 3600.0
    with tenant_transaction(org.id):
        claimed = claim(change.id)
        assert claimed is not None
        park(claimed, "a test's fault")
    aside = read()
    assert (aside["dosewright_changes_waiting"], aside["dosewright_changes_parked"]) == (waiting, parked + 1)
    with tenant_transaction(org.id):
        Change.objects.all().delete()
    assert read()["dosewright_changes_parked"] == parked
