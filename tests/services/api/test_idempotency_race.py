"""Two equal requests at once, on two connections with real transactions."""

import threading
import uuid

import pytest
from django.db import connections

from services.tenancy.models import Location
from tests.services.api import sample
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import make_cast

pytestmark = [pytest.mark.urls("tests.services.api.sample"), pytest.mark.usefixtures("committed")]


def _twice(seconds):
    """The same submission from two threads, the second after the first has begun; both responses in order."""
    cast, key = make_cast("Breakwater"), str(uuid.uuid4())
    path, body = f"/api/v1/organisations/{cast.org.id}/places", {"name": f"slow {seconds}", "zone": "UTC"}
    responses = {}
    sample.calls.clear()

    def send(which):
        try:
            client = ApiClient(cast.owner.token, sample.document())
            responses[which] = client.post(path, body, idempotency_key=key)
        finally:
            connections.close_all()

    first, second = (threading.Thread(target=send, args=(which,)) for which in ("first", "second"))
    first.start()
    while not sample.calls:
        first.join(0.01)
        assert first.is_alive() or sample.calls
    second.start()
    first.join()
    second.join()
    with cast.inside():
        stored = Location.objects.filter(name=body["name"]).count()
    assert stored == 1
    assert sample.calls == [body["name"]]
    return responses, lambda: ApiClient(cast.owner.token, sample.document()).post(
        path, body, idempotency_key=key
    )


def test_a_short_first_request_is_waited_for():
    """The second one waits for the commit of the first, then replays its answer; one effect."""
    responses, _ = _twice(0.4)
    assert responses["first"].status_code == responses["second"].status_code == 201
    assert responses["second"].content == responses["first"].content
    assert responses["second"].headers["Idempotency-Replayed"] == "true"


def test_a_long_first_request_is_not_waited_for():
    """The second one gives up with 409 and Retry-After; repeated later it gets the answer; one effect."""
    responses, repeat = _twice(3.5)
    assert_problem(responses["second"], "request_in_progress", 409)
    assert int(responses["second"].headers["Retry-After"]) > 0
    assert responses["first"].status_code == 201
    later = repeat()
    assert later.content == responses["first"].content
    assert later.headers["Idempotency-Replayed"] == "true"
