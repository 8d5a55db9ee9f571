"""What an operator starts with."""

import io

import pytest
from django.core.management import CommandError, call_command

from athletes.models import PriorSnapshot
from programming.models import Variation
from services.pipeline.sweep import sweep_organisations
from services.tenancy.context import setting, tenant_transaction
from services.tenancy.models import Membership, Organisation, Person
from tests.support.api import ApiClient

pytestmark = pytest.mark.usefixtures("committed")
OWNER = {"owner_email": "edda@quarryside.example", "owner_name": "Edda Holm"}


def test_an_organisation_is_founded_ready_to_work(monkeypatch: pytest.MonkeyPatch) -> None:
    """Owner who can sign in, catalogue, prior; the sweep finds it."""
    monkeypatch.setattr("sys.stdin", io.StringIO("tall ships at anchor\n"))
    out = io.StringIO()
    call_command("found_organisation", "Quarryside", **OWNER, stdout=out)
    org_id = out.getvalue().strip()
    with tenant_transaction(Organisation(id=org_id).id):
        assert Membership.objects.get().role == "owner"
        assert Variation.objects.count() > 40
        assert PriorSnapshot.objects.get().number == 1
    body = {"email": OWNER["owner_email"], "password": "tall ships at anchor", "label": "desk"}
    token = ApiClient().post("/api/v1/sign-in", body).json()["token"]
    assert ApiClient(token).get(f"/api/v1/organisations/{org_id}/movements").json()["items"]
    assert sweep_organisations() >= 1


def test_a_weak_password_founds_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is said before anything is stored."""
    monkeypatch.setattr("sys.stdin", io.StringIO("short\n"))
    with pytest.raises(CommandError, match="too short"):
        call_command("found_organisation", "Brief", owner_email="brief@example.org", owner_name="B")
    with tenant_transaction(Organisation().id), setting("app.email", "brief@example.org"):
        assert not Person.objects.filter(email="brief@example.org").exists()


def test_a_known_address_keeps_its_password(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever has the address chose a password of their own; an operator must say that this is meant."""
    address = {"owner_email": "ylva@example.org", "owner_name": "Ylva"}
    for name in ("First", "Second"):
        monkeypatch.setattr("sys.stdin", io.StringIO("tall ships at anchor\n"))
        if name == "First":
            call_command("found_organisation", name, **address, stdout=io.StringIO())
        else:
            with pytest.raises(CommandError, match="--known-owner"):
                call_command("found_organisation", name, **address)
    call_command("found_organisation", "Third", **address, known_owner=True, stdout=io.StringIO())
    body = {"email": "ylva@example.org", "password": "tall ships at anchor", "label": "desk"}
    token = ApiClient().post("/api/v1/sign-in", body).json()["token"]
    assert {row["name"] for row in ApiClient(token).get("/api/v1/me").json()["organisations"]} == {
        "First",
        "Third",
    }
