"""Changing a password while somebody else comes in with the old one: in real transactions, at the same time."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from django.db import connections
from django.test import Client

from services.access import own_password
from services.access import sign_in as access_sign_in
from services.access.sign_in import by_password
from services.console import doors
from services.tenancy.models import Person
from tests.services.access.test_second_factor import client, real, sign_in  # noqa: F401
from tests.services.console.browse import PASSWORD
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import Cast


def at_once(actions: Sequence[Callable[[], int]], monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Their answers; each has proven the old password before any goes on."""
    waits = threading.Barrier(len(actions))

    def proven_together(*given: Any, **named: Any) -> Person:
        person = by_password(*given, **named)
        waits.wait(30)
        return person

    monkeypatch.setattr(own_password, "by_password", proven_together)

    def run(action: Callable[[], int]) -> int:
        try:
            return action()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(actions)) as pool:
        return list(pool.map(run, actions))


def test_of_two_that_change_a_password_at_once_one_does(
    real: Cast,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The other knew the password that is old by then, and its token is gone; nobody is left without a sign-in."""
    tokens = real.coach.token, sign_in(real.coach).json()["token"]
    wanted = "lanterns over the pier", "gulls above the mole"

    def changing(token: str, new: str) -> Callable[[], int]:
        told = {"password": PASSWORD, "new_password": new}
        return lambda: ApiClient(token).post("/api/v1/me/password", told).status_code

    answers = at_once([changing(*pair) for pair in zip(tokens, wanted, strict=True)], monkeypatch)
    assert sorted(answers) == [204, 401]
    won = answers.index(204)
    assert [ApiClient(one).get("/api/v1/me").status_code for one in tokens] == [
        200 if number == won else 401 for number in range(2)
    ]
    assert sign_in(real.coach, password=wanted[won]).status_code == 201
    assert_problem(sign_in(real.coach, password=wanted[1 - won]), "sign_in_refused", 401)


def test_a_sign_in_under_way_makes_no_token_with_the_old_password(
    real: Cast,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """By the interface and by the pages: what was proven before the change is worth nothing after it."""
    passwords = iter((PASSWORD, "lanterns over the pier", "gulls above the mole"))
    old = next(passwords)

    def changed_meanwhile(*given: Any, **named: Any) -> Person:
        nonlocal old
        person = by_password(*given, **named)
        told = {"password": old, "new_password": next(passwords)}
        assert client(real.coach).post("/api/v1/me/password", told).status_code == 204
        old = told["new_password"]
        return person

    monkeypatch.setattr(access_sign_in, "by_password", changed_meanwhile)
    assert_problem(sign_in(real.coach), "sign_in_refused", 401)
    monkeypatch.setattr(doors, "by_password", changed_meanwhile)
    told = {"email": real.coach.person.email, "password": old}
    assert Client().post("/sign-in", told).status_code == 401
