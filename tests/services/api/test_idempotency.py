"""A repeated POST has one effect and one answer."""

import datetime as dt
import json
import uuid

import pytest
import time_machine
from hypothesis import given
from hypothesis import strategies as st

from services.api import idempotency
from services.api.errors import IdempotencyKeyInvalid
from services.api.models import IdempotencyKey
from services.api.operation import Idempotency
from services.tenancy.models import Location, Membership
from tests.services.api import sample
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import make_cast

pytestmark = pytest.mark.urls("tests.services.api.sample")
KEY = "b3b0c2f4-5a39-4c86-9d0e-0c4b3a0f7f11"
ANNEX = {"name": "Annex", "zone": "UTC"}


@pytest.fixture
def owner(cast):
    sample.calls.clear()
    return ApiClient(cast.owner.token, sample.document())


@pytest.fixture
def path(cast):
    return f"/api/v1/organisations/{cast.org.id}/places"


def count(cast, name="Annex"):
    with cast.inside():
        return Location.objects.filter(name=name).count()


def keys(cast):
    with cast.inside():
        return IdempotencyKey.objects.count()


def parts(response):
    return response.status_code, response.content, response.headers["Location"], response.headers["ETag"]


@pytest.mark.django_db
class TestRepetitions:
    def test_a_repetition_gets_the_first_answer(self, cast, owner, path):
        """Status, body to the byte and headers are equal, the handler ran once, and the replay says so."""
        first = owner.post(path, ANNEX, idempotency_key=KEY)
        again = owner.post(path, ANNEX, idempotency_key=KEY)
        assert parts(again) == parts(first)
        assert first.status_code == 201
        assert "Idempotency-Replayed" not in first.headers
        assert again.headers["Idempotency-Replayed"] == "true"
        assert (sample.calls, count(cast)) == (["Annex"], 1)

    def test_spacing_and_order_of_keys_do_not_count(self, cast, owner, path):
        """The fingerprint is of the meaning of the body; a quoted key is the same key (structured fields)."""
        first = owner.post(path, ANNEX, idempotency_key=KEY)
        body = json.dumps(dict(reversed(ANNEX.items())), indent=4).encode()
        again = owner.post(path, body=body, idempotency_key=f'"{KEY}"')
        assert parts(again) == parts(first)

    def test_another_body_under_the_key_is_refused(self, cast, owner, path):
        """422, and nothing happens."""
        owner.post(path, ANNEX, idempotency_key=KEY)
        response = owner.post(path, {**ANNEX, "name": "Other"}, idempotency_key=KEY)
        assert_problem(response, "idempotency_key_reused", 422)
        assert count(cast, "Other") == 0

    def test_a_refusal_keeps_no_key(self, cast, owner, path):
        """What failed may be corrected and sent under the same key."""
        refused = owner.post(path, {**ANNEX, "name": "refused"}, idempotency_key=KEY)
        assert_problem(refused, "unprocessable", 422)
        assert_problem(
            owner.post(path, {"name": "Annex"}, idempotency_key=KEY), "invalid_input", 400, at="#/zone"
        )
        assert keys(cast) == 0
        assert owner.post(path, ANNEX, idempotency_key=KEY).status_code == 201

    def test_a_refusal_that_is_not_raised_stores_nothing(self, cast, owner, path):
        """A handler that answers 4xx after a write rolls back the write and the key."""
        response = owner.post(path, {**ANNEX, "name": "returned"}, idempotency_key=KEY)
        assert_problem(response, "unprocessable", 422)
        assert (keys(cast), count(cast, "returned")) == (0, 0)

    def test_a_collision_in_the_database_keeps_no_key(self, cast, owner, path):
        """A unique constraint that fails inside the handler is 409 and rolls the key back."""
        taken = {"name": "Harbour", "zone": "UTC"}
        body = assert_problem(owner.post(path, taken, idempotency_key=KEY), "conflict", 409)
        assert "Harbour" not in body["detail"]
        assert keys(cast) == 0

    def test_keys_belong_to_a_person_in_an_organisation(self, cast, owner, path):
        """Another person's same key is another key, and so is the one of another organisation."""
        coach = ApiClient(cast.coach.token, sample.document())
        rival = make_cast("Saltmarsh")
        theirs = ApiClient(rival.owner.token, sample.document())
        assert owner.post(path, ANNEX, idempotency_key=KEY).status_code == 201
        assert coach.post(path, {**ANNEX, "name": "Second"}, idempotency_key=KEY).status_code == 201
        other_path = f"/api/v1/organisations/{rival.org.id}/places"
        assert theirs.post(other_path, ANNEX, idempotency_key=KEY).status_code == 201
        assert (keys(cast), keys(rival)) == (2, 1)

    def test_lost_rights_lose_the_answer(self, cast, owner, path):
        """The repetition is authorised like a first request: an ended membership gets 404, not the answer."""
        owner.post(path, ANNEX, idempotency_key=KEY)
        with cast.inside():
            Membership.objects.filter(person_id=cast.owner.person.id).update(is_active=False)
        assert_problem(owner.post(path, ANNEX, idempotency_key=KEY), "not_found", 404)

    def test_a_key_expires_after_seven_days(self, cast, owner, path):
        """Until then it replays; after that it is a new request, whose answer is then kept."""
        start = dt.datetime(2031, 3, 1, tzinfo=dt.UTC)
        body = {"name": "Annex", "zone": "UTC"}
        with time_machine.travel(start, tick=False) as clock:
            owner.document = sample.document()
            fresh = ApiClient(_long_lived_token(cast), sample.document())
            fresh.post(path, body, idempotency_key=KEY)
            clock.move_to(start + dt.timedelta(days=7) - dt.timedelta(seconds=1))
            assert "Idempotency-Replayed" in fresh.post(path, body, idempotency_key=KEY).headers
            clock.move_to(start + dt.timedelta(days=7))
            new = fresh.post(path, {**body, "name": "Later"}, idempotency_key=KEY)
            assert new.status_code == 201
            assert (
                "Idempotency-Replayed"
                in fresh.post(path, {**body, "name": "Later"}, idempotency_key=KEY).headers
            )
            with cast.inside():
                assert idempotency.purge_expired(now=start + dt.timedelta(days=13)) == 0
                assert idempotency.purge_expired(now=start + dt.timedelta(days=14)) == 1

    @pytest.mark.parametrize("key", ["", "short", "x" * 129, "with space in the key", "ümlaut-" + "x" * 20])
    def test_a_malformed_key_is_refused(self, owner, path, key):
        """16 to 128 visible ASCII characters."""
        response = owner.post(path, ANNEX, headers={"Idempotency-Key": key}, idempotency_key=None)
        assert_problem(response, "idempotency_key_invalid", 400)

    def test_a_missing_key_is_refused_where_it_is_required(self, cast, owner, path):
        """And the answer says what to send."""
        body = assert_problem(owner.post(path, ANNEX, idempotency_key=None), "idempotency_key_missing", 400)
        assert "Idempotency-Key" in body["detail"]
        assert count(cast) == 0


def _long_lived_token(cast):
    """A token made now, in the frozen future of the test."""
    from services.access.models import ApiToken
    from services.tenancy.actor import ALL_SCOPES
    from services.tenancy.context import person

    with person(cast.owner.person.id):
        _, token = ApiToken.objects.create(user=cast.owner.person, label="later", scopes=sorted(ALL_SCOPES))
    return token


@given(st.text(max_size=140))
def test_any_header_is_a_key_or_refused(header):
    """The accepted keys are those of 16 to 128 characters from ! to ~, after the quotes."""
    try:
        key = idempotency.read_key(header, Idempotency.HONOURED)
    except IdempotencyKeyInvalid:
        return
    assert key is not None
    assert 16 <= len(key) <= 128
    assert all("!" <= character <= "~" for character in key)


def test_an_exempt_operation_looks_at_no_key():
    """Its answer holds a secret and must not be stored."""
    assert idempotency.read_key(str(uuid.uuid4()), Idempotency.EXEMPT) is None
    assert idempotency.read_key(None, Idempotency.HONOURED) is None


@given(st.dictionaries(st.text(max_size=5), st.integers() | st.text(max_size=5), max_size=4))
def test_the_fingerprint_is_of_path_and_meaning(data):
    """Equal for a reordered body; different for another path."""
    shuffled = dict(reversed(data.items()))
    assert idempotency.fingerprint("/a", data) == idempotency.fingerprint("/a", shuffled)
    assert idempotency.fingerprint("/a", data) != idempotency.fingerprint("/b", data)
