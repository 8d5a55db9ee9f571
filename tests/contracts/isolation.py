"""What the permission matrix compares: rows before and after, answers, and the two layers, on and off."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import psycopg
import pytest
from django.db import models, transaction
from psycopg import sql

from services.tenancy.compiled import CompiledDelete, CompiledRead
from services.tenancy.models import ScopedManager
from tests.contracts.matrix_requests import Request, request_for
from tests.contracts.matrix_table import RULES
from tests.contracts.rows import differences, fingerprint
from tests.contracts.stage import Stage
from tests.support.api import ApiClient


@contextmanager
def rolled_back() -> Iterator[None]:
    """Whatever happens inside has not happened afterwards, so that every request finds the same rows."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def send(token: str, request: Request, *, raise_errors: bool = True) -> Any:
    """In a savepoint: a refusal takes back what it did, also in a view without a transaction of its own."""
    if request.first is not None:
        request.first()
    client = ApiClient(token, raise_errors=raise_errors)
    with transaction.atomic():
        return client.request(request.method, request.address, **request.options())


def swapped(case: str, stage: Stage) -> Iterator[tuple[str, Request]]:
    """The other organisation's own request with our ids in it: each one alone, then all of them."""
    own, ours = request_for(case, stage.theirs), request_for(case, stage.ours)
    names = {str(value): name for name, value in stage.theirs.ids.items()}
    found = own.ids(stage.theirs)
    for chosen in [[one] for one in found] + ([found] if len(found) > 1 else []):
        told = {one: str(stage.ours.ids[names[one]]) for one in chosen}
        yield "+".join(names[one] for one in chosen), _replaced(own, told, ours)


def _replaced(request: Request, told: dict[str, str], ours: Request) -> Request:
    text = json.dumps([dict(request.path), dict(request.query), request.body])
    for theirs, own in told.items():
        text = text.replace(theirs, own)
    path, query, body = json.loads(text)
    hit = any(value in (request.if_match or "") for value in told)
    return replace(
        request, path=path, query=query, body=body, if_match=ours.if_match if hit else request.if_match
    )


def leaks(stage: Stage) -> list[str]:
    """Everything by which the other organisation's owner, or an outsider, gets at ours; empty when tight.

    The owner of the other organisation calls our routes, and their own routes with our ids; an outsider calls
    our routes. Only 404, 400 and an empty list are right; our canary is in no answer, our rows are as before.
    """
    found: list[str] = []
    for case in RULES:
        if "organisation" not in request_for(case, stage.ours).path:
            continue
        for caller in ("outsider", "foreign_owner"):
            found += _leak(stage, caller, f"{case} by {caller}", request_for(case, stage.ours), {404})
    for case in RULES:
        for swap, request in swapped(case, stage):
            found += _leak(stage, "foreign_owner", f"{case} with our {swap}", request, {400, 404})
    return found


def _leak(stage: Stage, caller: str, place: str, request: Request, right: set[int]) -> list[str]:
    with rolled_back():
        try:
            response = send(stage.token(caller), request, raise_errors=False)
        except (
            AssertionError
        ) as undocumented:  # no answer of this route: the composite keys, with both layers off
            return [f"{place}: {undocumented}"]
        reads = request.method == "GET"
        changed = [] if reads else differences(stage.before(), fingerprint(stage.ours))
    text = response.content.decode(errors="replace")
    found = []
    if response.status_code not in right and not (response.status_code == 200 and _says_nothing(text)):
        found.append(f"{place}: {response.status_code} {text[:200]}")
    if stage.ours.canary in text:
        found.append(f"{place}: shows our canary: {text[:200]}")
    if changed:
        found.append(f"{place}: changed our {', '.join(changed)}")
    return found


def _says_nothing(text: str) -> bool:
    body = json.loads(text)
    if "left_out" in body and "movements" in body:
        return not (body["movements"] or body["scores"] or body["left_out"])
    return body.get("items") == [] or ("rows" in body and body.get("created") == 0)


@contextmanager
def without_row_security() -> Iterator[None]:
    """No policy holds inside; the owner role alone can do that, on the tables of this process's database.

    Must be entered without an open transaction of the app role: it waits for a lock on every table.
    """
    found = "SELECT relname FROM pg_class WHERE relrowsecurity AND relnamespace = 'public'::regnamespace"
    address = os.environ["DATABASE_OWNER_URL"]
    with psycopg.connect(address, autocommit=True, options="-c lock_timeout=10s") as owner:
        tables = [name for (name,) in owner.execute(found).fetchall()]
        assert len(tables) > 20
        try:
            _row_security(owner, tables, "DISABLE")
            assert owner.execute(found).fetchall() == []
            yield
        finally:
            _row_security(owner, tables, "ENABLE")


def _row_security(owner: psycopg.Connection[Any], tables: list[str], what: str) -> None:
    with owner.transaction():
        for table in tables:
            owner.execute(
                sql.SQL("ALTER TABLE {} {} ROW LEVEL SECURITY").format(sql.Identifier(table), sql.SQL(what))
            )


def drop_scope(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the scoped managers see every row that the database shows: the other layer off.

    Statements that were compiled with it are compiled anew without it, and these are forgotten again.
    """
    monkeypatch.setattr(ScopedManager, "get_queryset", models.Manager.get_queryset)
    for module in list(sys.modules.values()):
        for one in list(vars(module).values()):
            if type(one) in (CompiledRead, CompiledDelete):  # what is asked more of a lazy object makes it
                monkeypatch.setattr(one, "_made", None)
