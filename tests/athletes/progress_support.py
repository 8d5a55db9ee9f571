"""What the tests of progression share: tests that athletes did, and the answers read."""

from __future__ import annotations

from typing import Any

from athletes.actions.capacities import recompute_capacities
from tests.athletes.conftest import TODAY, Team, days_ago


def recompute(team: Team, *athletes: Any) -> None:
    with team.cast.inside():
        for athlete in athletes or (team.noor,):
            recompute_capacities(athlete_id=athlete.id, today=TODAY)


def given(team: Team, key: str, told: list[tuple[int, int]], athlete: Any = None, **more: Any) -> None:
    """Sets to failure, each (days ago, repetitions), then the recompute."""
    athlete = athlete or team.noor
    with team.cast.inside():
        for days, count in told:
            team.test(athlete, key, count, days=days, confirmed=True, **more)
    recompute(team, athlete)


def read(team: Team, member: Any = None, status: int = 200, athlete: Any = None, **query: str) -> Any:
    path = team.path(f"athletes/{(athlete or team.noor).id}/progression")
    response = team.client(member or team.cast.coach).get(path, query=query)
    assert response.status_code == status
    return response.json()


def only(team: Team, **query: str) -> dict[str, Any]:
    (row,) = read(team, **query)["movements"]
    found: dict[str, Any] = row
    return found


def ago(days: int) -> str:
    return str(days_ago(days).date())
