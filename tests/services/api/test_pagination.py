"""Pages by key: together they are the list, whatever happens in between."""

import uuid
from urllib.parse import parse_qs, urlsplit

import pytest
from django.core import signing
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from services.api.pagination import KeysetPage
from services.tenancy.models import Invitation, Location
from tests.services.api import sample
from tests.support.api import ApiClient, assert_problem

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.services.api.sample")]


@pytest.fixture
def owner(cast):
    return ApiClient(cast.owner.token, sample.document())


@pytest.fixture
def path(cast):
    return f"/api/v1/organisations/{cast.org.id}/places"


def add(cast, number, **fields):
    with cast.inside():
        rows = [Location(org=cast.org, name=f"Place {n:03}", zone="UTC", **fields) for n in range(number)]
        Location.objects.bulk_create(rows)
        # One moment for all: the second column alone must break the ties.
        Location.objects.filter(name__startswith="Place").update(created_at=timezone.now())


def walk(client, path, **query):
    """All items, following `next` as a client does; asserts that the header and the body agree."""
    items, response = [], client.get(path, query=query)
    while True:
        body = response.json()
        items += body["items"]
        if body["next"] is None:
            assert "Link" not in response.headers
            return items
        assert response.headers["Link"] == f'<{body["next"]}>; rel="next"'
        parts = urlsplit(body["next"])
        response = client.get(f"{parts.path}?{parts.query}")


@pytest.mark.parametrize("limit", [1, 2, 7, 25, 28, 29, 200])
@pytest.mark.parametrize(
    ("rest", "order"), [("", ("name", "id")), ("/newest", ("-created_at", "-id"))], ids=["by name", "newest"]
)
def test_the_pages_together_are_the_list(cast, owner, path, limit, rest, order):
    """For every page size: each row once, in the order of the one unpaged query; ties included."""
    add(cast, 25)
    with cast.inside():
        expected = [str(pk) for pk in Location.objects.order_by(*order).values_list("pk", flat=True)]
    assert len(expected) == 28
    assert [item["id"] for item in walk(owner, path + rest, limit=limit)] == expected


def test_rows_stored_meanwhile_move_nothing(cast, owner, path):
    """A row before the cursor is not seen, and no row comes twice or is lost."""
    add(cast, 6)
    first = owner.get(path, query={"limit": 4}).json()
    with cast.inside():
        Location.objects.create(org=cast.org, name="Aardvark", zone="UTC")
        Location.objects.filter(name="Mill").delete()
    parts = urlsplit(first["next"])
    seen = [item["name"] for item in first["items"]] + [
        item["name"]
        for item in walk(owner, parts.path, **{k: v[0] for k, v in parse_qs(parts.query).items()})
    ]
    assert seen == ["Harbour", "Mill", *[f"Place {n:03}" for n in range(6)], "Remote"]


def test_microseconds_survive_the_cursor(cast, owner, path):
    """Rows within one millisecond are kept apart."""
    add(cast, 4)
    moment = timezone.now().replace(microsecond=123000)
    with cast.inside():
        for step, row in enumerate(Location.objects.filter(name__startswith="Place")):
            Location.objects.filter(pk=row.pk).update(created_at=moment.replace(microsecond=123000 + step))
        expected = [str(row.pk) for row in Location.objects.order_by("-created_at", "-id")]
    assert [item["id"] for item in walk(owner, f"{path}/newest", limit=1)] == expected


def cursor_of(response):
    return parse_qs(urlsplit(response.json()["next"]).query)["cursor"][0]


def test_a_cursor_serves_only_its_own_list(cast, owner, path):
    """Damaged, unsigned, of another filter or of another list: refused, not answered wrongly."""
    add(cast, 5)
    good = cursor_of(owner.get(path, query={"limit": 2}))
    assert owner.get(path, query={"limit": 3, "cursor": good}).status_code == 200
    forged = signing.dumps({"after": ["a", str(uuid.uuid4())], "of": "x"}, salt="another")
    for cursor in (good[:-1], "A" + good, "", "x", forged, good.replace(":", "%")):
        response = owner.get(path, query={"limit": 2, "cursor": cursor})
        assert_problem(response, "invalid_cursor", 400)
    assert_problem(owner.get(path, query={"cursor": good, "zone": "UTC"}), "invalid_cursor", 400)
    assert_problem(owner.get(f"{path}/newest", query={"cursor": good}), "invalid_cursor", 400)


def test_filters_hold_across_pages(cast, owner, path):
    """The declared filters work, and the address of the next page carries them."""
    add(cast, 5)
    found = walk(owner, path, zone="UTC", is_remote="false", limit=2)
    assert [item["name"] for item in found] == [f"Place {n:03}" for n in range(5)]


@pytest.mark.parametrize("limit", ["0", "201", "-1", "1.5", "x", "", "1e2", "٣", "9" * 400])
def test_the_limit_is_bounded(owner, path, limit):
    """Neither silently cut nor guessed."""
    assert_problem(owner.get(path, query={"limit": limit}), "invalid_input", 400, at="limit")


def test_an_unknown_parameter_is_a_mistake_to_report(owner, path):
    """A misspelt filter must not return the unfiltered list."""
    assert_problem(owner.get(path, query={"zon": "UTC"}), "invalid_input", 400, at="zon")


@pytest.mark.parametrize("number", [3, 30])
def test_the_number_of_queries_does_not_grow(cast, owner, path, number):
    """A page of 30 costs what a page of 3 costs: sign-in, membership, tenant and one query for the rows."""
    add(cast, number)
    with CaptureQueriesContext(
        connection,
    ) as captured:
        assert len(owner.get(path).json()["items"]) == number + 3
    rows = [query for query in captured if 'FROM "tenancy_location"' in query["sql"]]
    assert len(rows) == 1


def test_the_comparison_is_one_row_comparison(cast):
    """PostgreSQL gets `(created_at, id) < (…)`, which it can use as an index condition."""
    with cast.inside(), CaptureQueriesContext(connection) as captured:
        page = KeysetPage(Location.objects.all(), ("-created_at", "-id"), path="/x", query={})
        first = page.read(limit=1, cursor=None)
        assert first.next_path is not None
        page.read(limit=1, cursor=parse_qs(urlsplit(first.next_path).query)["cursor"][0])
    sql = captured.captured_queries[-1]["sql"]
    assert '("tenancy_location"."created_at", "tenancy_location"."id") < (' in sql


@pytest.mark.parametrize(
    ("model", "order"),
    [(Location, ("name", "-id")), (Location, ("name",)), (Invitation, ("accepted_at", "id"))],
    ids=["two directions", "not unique", "nullable"],
)
def test_an_order_that_would_lose_rows_is_refused(model, order):
    """Found when the view is first used, not when a row is missing."""
    with pytest.raises(TypeError):
        KeysetPage(model.objects.none(), order, path="/", query={})
