"""Migrations of rows that exist: run as the owner in one transaction that is taken back."""

from __future__ import annotations

import importlib
import os
from uuid import UUID

import psycopg
import pytest
from django.db import connections, transaction

from programming.models import Movement
from tests.support.cast import make_cast

KINDS = importlib.import_module("programming.migrations.0003_movement_capacity_kind")


def _inside(owner: psycopg.Connection, org: UUID | None) -> None:
    owner.execute("SELECT set_config('app.org', %s, true)", ["" if org is None else str(org)])


def _stored(owner: psycopg.Connection, column: str, org: UUID) -> dict[str, object]:
    _inside(owner, org)
    rows = owner.execute(f'SELECT "key", "{column}" FROM programming_movement').fetchall()
    _inside(owner, None)  # as `manage.py migrate` runs: outside every organisation
    return dict(rows)


@pytest.mark.usefixtures("committed")
def test_a_movement_keeps_what_it_said_about_its_curve() -> None:
    """With a curve: load_repetition; without: none, whatever organisation the row belongs to; and back."""
    with transaction.atomic():
        cast = make_cast("Curves and Kinds")
        with cast.inside():
            for key, kind in (("press", "load_repetition"), ("jump", "none")):
                Movement.objects.create(
                    org=cast.org, key=key, name=key, pattern="jump", capacity_kind=kind, prior={}
                )
    connections.close_all()
    with psycopg.connect(os.environ["DATABASE_OWNER_URL"]) as owner:
        owner.execute("ALTER TABLE programming_movement DROP CONSTRAINT movement_capacity_kind_known")
        for statement in KINDS.BACKWARDS:
            owner.execute(statement)
        assert _stored(owner, "curve_applies", cast.org.id) == {"press": True, "jump": False}
        for statement in KINDS.FORWARDS:
            owner.execute(statement)
        assert _stored(owner, "capacity_kind", cast.org.id) == {"press": "load_repetition", "jump": "none"}
        owner.rollback()
