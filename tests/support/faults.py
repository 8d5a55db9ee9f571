"""Faults that tests put into the service."""

from __future__ import annotations

from collections.abc import Collection
from uuid import UUID

import pytest

from programming.plans import PlanReader, SessionPlan


def poisoned_plan(bad: UUID, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the plan of one session be unreadable."""
    well = PlanReader.read

    def poisoned(self: PlanReader, session_ids: Collection[UUID]) -> dict[UUID, SessionPlan]:
        if bad in session_ids:
            raise ZeroDivisionError("a test's fault")
        return well(self, session_ids)

    monkeypatch.setattr(PlanReader, "read", poisoned)
