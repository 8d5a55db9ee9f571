"""Who gets in: 404 for what the caller may not know of, 403 for what he may know but not do."""

import uuid

import pytest
from django.db import connection

from services.access.models import ApiToken
from services.api import checks
from services.api.operation import Access, Idempotency, Operation
from services.api.views import ApiView, OrganisationView, PersonView
from services.tenancy.actor import EVERYONE, Role
from services.tenancy.context import current_org, person
from services.tenancy.models import Location
from tests.services.api import sample
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import make_cast

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.services.api.sample")]


def as_(member):
    return ApiClient(member.token, sample.document())


def path(cast, rest="places"):
    return f"/api/v1/organisations/{cast.org.id}/{rest}"


PLACE = {"name": "Annex", "zone": "Europe/Lisbon"}


def limited_token(cast, **limits):
    with person(cast.coach.person.id):
        _, token = ApiToken.objects.create(user=cast.coach.person, label="limited", **limits)
    return ApiClient(token, sample.document())


@pytest.mark.parametrize(
    ("role", "read", "write"),
    [
        (Role.OWNER, 200, 201),
        (Role.COACH, 200, 201),
        (Role.LOCATION_STAFF, 200, 403),
        (Role.ATHLETE, 403, 403),
    ],
)
def test_the_declared_roles_decide(cast, role, read, write):
    """Each role against each method; a refusal stores nothing."""
    client = as_(cast.members[role])
    assert client.get(path(cast)).status_code == read
    assert client.post(path(cast), PLACE).status_code == write
    with cast.inside():
        assert Location.objects.filter(name="Annex").exists() == (write == 201)


def test_an_outsider_cannot_tell_an_organisation_from_none(cast):
    """The answers for a foreign organisation and for none at all are equal but for the request."""
    client = as_(cast.outsider)
    bodies = []
    for org_id in (cast.org.id, uuid.uuid4()):
        body = assert_problem(client.get(f"/api/v1/organisations/{org_id}/places"), "not_found", 404)
        bodies.append({**body, "instance": ""})
    assert bodies[0] == bodies[1]


def test_a_row_of_another_organisation_is_not_there(cast):
    """An identifier of a rival in the path of the own organisation is 404."""
    rival = make_cast("Saltmarsh")
    client = as_(cast.owner)
    assert_problem(client.get(path(cast, f"places/{rival.harbour.id}")), "not_found", 404)
    assert client.get(path(cast, f"places/{cast.harbour.id}")).status_code == 200


def test_a_token_without_the_scope_is_told_which_it_needs(cast):
    """403 with the challenge of RFC 6750."""
    client = limited_token(cast, scopes=["programme:read"])
    assert client.get(path(cast)).status_code == 200
    response = client.post(path(cast), PLACE)
    assert_problem(response, "insufficient_scope", 403)
    assert (
        response.headers["WWW-Authenticate"] == 'Bearer error="insufficient_scope", scope="programme:write"'
    )


def test_a_token_of_one_organisation_opens_no_other(cast):
    """A token with an organisation is of no use elsewhere, even for a member there."""
    rival = make_cast("Saltmarsh")
    client = limited_token(cast, scopes=["programme:read"], only_org_id=rival.org.id)
    assert_problem(client.get(path(cast)), "not_found", 404)


@pytest.mark.parametrize(
    "sent", ["", "Bearer", "Bearer x", "Bearer dosew_" + "0" * 60, "Basic YTpi", "Bearer a b"]
)
def test_no_valid_token_is_401(cast, sent):
    """With the challenge, so that a client knows the scheme."""
    client = ApiClient(document=sample.document())
    response = client.get(path(cast), headers={"Authorization": sent} if sent else {})
    assert_problem(response, "not_authenticated", 401)
    assert response.headers["WWW-Authenticate"].startswith("Bearer")


def test_the_tenant_is_left_after_success_and_after_failure(cast):
    """Nothing of a request stays behind in the connection or in the context variable."""
    client = as_(cast.owner)
    for rest in ("places", f"places/{uuid.uuid4()}", "places?limit=0"):
        client.get(path(cast, rest))
        assert current_org() is None
        with connection.cursor() as cursor:
            cursor.execute("SELECT current_setting('app.org', true)")
            assert cursor.fetchone()[0] in (None, "")


def test_the_person_route_answers_to_any_member_and_outsider(cast):
    """Outside an organisation only the token counts."""
    for member in (cast.athlete, cast.outsider):
        assert as_(member).get("/api/v1/me").json() == {"email": member.person.email}


def test_a_method_without_access_cannot_be_declared():
    """The class itself refuses, long before a request."""
    operation = {"GET": Operation("read_nothing", output=sample.PlaceOutput)}

    def get(self, request, **kwargs):
        """Nothing."""

    with pytest.raises(TypeError, match="GET has no access"):
        type("Nothing", (OrganisationView,), {"get": get, "operation": operation})
    with pytest.raises(TypeError, match="GET has no operation"):
        type("Nothing", (OrganisationView,), {"get": get})
    access = {"GET": Access(EVERYONE, "programme:read")}
    with pytest.raises(TypeError, match="not handled"):
        type("Nothing", (OrganisationView,), {"operation": operation, "access": access})
    post = {"POST": Operation("make", idempotency=Idempotency.HONOURED)}
    with pytest.raises(TypeError, match="EXEMPT"):
        type("Nothing", (PersonView,), {"post": get, "operation": post, "scope": {"POST": ""}})


def test_the_system_check_finds_a_route_that_is_not_ours(settings):
    """The sample has one plain function under /api/; it alone is reported."""
    messages = checks.check_routes()
    assert [message.id for message in messages] == ["api.E001"]
    assert "plain" in messages[0].msg


def test_the_system_check_asks_the_view_again(monkeypatch):
    """Access taken away after the class was made is found at the start."""
    monkeypatch.setattr(sample.Places, "access", {})
    assert any("GET has no access" in message.msg for message in checks.check_routes())
    assert issubclass(sample.Places, ApiView)
