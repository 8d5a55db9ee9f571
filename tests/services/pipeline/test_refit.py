"""The nightly refit goes through every organisation."""

from uuid import UUID

import pytest
import structlog
from django.db import connection

from services.pipeline import refit
from services.pipeline.refit import refit_organisations
from services.pipeline.tasks import refit as nightly
from services.tenancy.context import required_org
from tests.support.cast import make_organisation

pytestmark = pytest.mark.usefixtures("committed")


def test_one_organisation_in_trouble_stops_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each is refitted inside its own tenant; what goes wrong in one is logged and counted."""
    bad, good = make_organisation("In trouble"), make_organisation("Well")
    seen: list[UUID] = []

    def fit(curves: object) -> bool:
        seen.append(required_org())
        if seen[-1] == bad.id:
            with connection.cursor() as cursor:
                cursor.execute("SELECT 1 / 0")
        return True

    monkeypatch.setattr(refit, "refit_priors", fit)
    for order in ([bad.id, good.id], [good.id, bad.id]):
        seen.clear()
        monkeypatch.setattr(refit, "organisation_ids", lambda order=order: order)
        before = refit.REFITTED.labels("failed")._value.get()
        with structlog.testing.capture_logs() as logs:
            assert refit_organisations() == 1
        assert seen == order
        assert refit.REFITTED.labels("failed")._value.get() == before + 1
        assert [log["organisation"] for log in logs if log["event"] == "refit_failed"] == [str(bad.id)]


def test_an_organisation_without_athletes_keeps_what_it_has() -> None:
    """The task as it runs at night: nothing to fit, nothing taken, no error."""
    make_organisation("New")
    before = refit.REFITTED.labels("failed")._value.get()

    nightly()

    assert refit.REFITTED.labels("failed")._value.get() == before
