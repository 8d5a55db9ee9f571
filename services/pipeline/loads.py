"""What results say of load, handed down to the athletes' load days. Part of the recompute.

Results belong to scoring, load to athletes: only here are both in sight.
"""

from __future__ import annotations

import datetime as dt
from uuid import UUID

from django.db.models import QuerySet

from athletes.actions.loads import due_from, newest_of, of_result, write_load
from scoring.actions.scores import latest_attempts
from scoring.models import Attempt
from services.tenancy.compiled import Given, compiled


def note_load(*, athlete_id: UUID, from_date: dt.date | None) -> None:
    """Bring the load of the athlete up to date from the day on that the change names (one query for none).

    A result that waits for somebody to look at it counts too: how long and how hard the session was is no matter of
    its counts.
    """
    newest = newest_of(athlete_id)
    since = due_from(newest, from_date)
    if since is None:
        return
    results = [of_result(*row) for row in _results(athlete=athlete_id, since=since)]
    write_load(athlete_id=athlete_id, newest=newest, since=since, results=results)


@compiled
def _results(athlete: Given, since: Given) -> QuerySet[Attempt, tuple[dt.date, float | None, float | None]]:
    rows = latest_attempts(athlete).filter(local_date__gte=since)
    return rows.order_by("local_date", "id").values_list("local_date", "effort", "minutes")
