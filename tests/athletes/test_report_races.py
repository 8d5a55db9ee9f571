"""Two equal reports at once, on connections of their own with real transactions."""

from __future__ import annotations

import threading
import uuid
from typing import Any

import pytest
from django.db import connections

from athletes.actions import reports
from athletes.models import Report
from services.api import idempotency
from tests.athletes.test_api_safety import flag
from tests.athletes.urls import document
from tests.support.api import ApiClient, assert_problem
from tests.support.world import add_athlete, make_world

pytestmark = [pytest.mark.urls("tests.athletes.urls"), pytest.mark.usefixtures("committed")]


@pytest.mark.parametrize("key_of_another", [False, True])
def test_a_resend_while_the_first_is_stored_says_what_to_do(
    monkeypatch: pytest.MonkeyPatch, key_of_another: bool
) -> None:
    """The 409 carries the words for an emergency, though its transaction can read nothing any more; one report."""
    world = make_world()
    athlete = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16})
    client = ApiClient(world.cast.coach.token, document())
    path = f"/api/v1/organisations/{world.cast.org.id}/athletes/{athlete.id}/reports"
    key, told = str(uuid.uuid4()), flag()
    if key_of_another:
        assert client.post(path, flag(note="Another."), idempotency_key=key).status_code == 201
    begun, answered, record = threading.Event(), threading.Event(), reports.record_change

    def slowly(**change: Any) -> Any:
        begun.set()
        assert answered.wait(60)
        return record(**change)

    monkeypatch.setattr(reports, "record_change", slowly)
    monkeypatch.setattr(idempotency, "LOCK_TIMEOUT", "100ms")
    responses = []

    def send() -> None:
        try:
            responses.append(client.post(path, told, idempotency_key=key))
        finally:
            connections.close_all()

    first = threading.Thread(target=send)
    first.start()
    try:
        assert begun.wait(60)
        second = client.post(path, told, idempotency_key=key)
    finally:
        answered.set()
        first.join()
    problem = assert_problem(second, "request_in_progress", 409)
    assert "In an emergency act first, the local emergency number: " in problem["detail"]
    assert "Nothing is stored" not in problem["detail"]
    assert responses[0].status_code == 201
    again = client.post(path, told, idempotency_key=key)
    assert again.content == responses[0].content
    with world.cast.inside():
        assert Report.objects.filter(athlete=athlete).count() == 1 + key_of_another
