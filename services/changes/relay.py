"""The relay: publishes due changes, with a bounded number in flight, until the worker reports them done.

Publish first, mark after: a crash between the two publishes twice, never zero times. What was sent and
not done within its lease (worker killed, broker wiped) is sent again. Runs under the relay role, which
sees nothing but the change rows and the organisations' ids.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import connections

from services.changes.actions import LOW_PRIORITY

RELAY_DB = "relay"

# No organisation takes more than this share of what may be in flight, so that one whose changes hang leaves room.
ORGANISATION_SHARE = 4

# A newer version of a subject is sent when the sent one is done: thirty results of one session make a few
# rankings, not thirty. `sent_version` is the version that was read before publishing, so a mark that arrives
# after the worker has finished hides nothing newer.
#
# What may wait (priority >= low) and what somebody waits for are bounded apart. Inside each class organisations
# take turns: who has less in flight comes first, and who has nothing in flight gets one beyond the bound.
_DUE = """
WITH flying AS (
    SELECT org_id, priority >= %(low)s AS is_low, count(*) AS n FROM changes_change
    WHERE version > done AND sent_version > done AND parked_at IS NULL
      AND sent_at >= clock_timestamp() - make_interval(secs => %(lease)s)
    GROUP BY 1, 2
), class AS (
    SELECT is_low, bound, ceil(bound / %(share)s::numeric)::bigint AS share,
           bound - coalesce((SELECT sum(n) FROM flying f WHERE f.is_low = b.is_low), 0) AS room
    FROM (VALUES (false, %(bound)s::bigint), (true, %(bound_low)s::bigint)) AS b (is_low, bound)
), waiting AS (
    SELECT w.id, o.id AS org_id, w.priority, w.version, w.due_at, class.is_low, class.room,
           coalesce(f.n, 0) + row_number() OVER (
               PARTITION BY o.id, class.is_low ORDER BY w.priority, w.due_at) AS turn
    FROM tenancy_organisation o CROSS JOIN class
    LEFT JOIN flying f ON f.org_id = o.id AND f.is_low = class.is_low
    CROSS JOIN LATERAL (
        SELECT id, priority, version, due_at FROM changes_change c
        WHERE c.org_id = o.id AND c.version > c.done AND c.parked_at IS NULL
          AND c.due_at <= clock_timestamp() AND (c.priority >= %(low)s) = class.is_low
          AND (c.sent_at IS NULL OR (c.done >= c.sent_version AND c.version > c.sent_version)
               OR c.sent_at < clock_timestamp() - make_interval(secs => %(lease)s))
        ORDER BY c.priority, c.due_at
        LIMIT greatest(0, class.share - coalesce(f.n, 0))
    ) AS w
), placed AS (
    SELECT *, row_number() OVER (PARTITION BY is_low ORDER BY turn, priority, due_at) AS place FROM waiting
)
SELECT id, org_id, priority, version FROM placed WHERE place <= room OR turn = 1
ORDER BY is_low, turn, priority, due_at LIMIT %(limit)s
"""

_NEXT_DUE = """
SELECT extract(epoch FROM min(
    CASE WHEN sent_at IS NULL OR done >= sent_version THEN due_at
         ELSE greatest(due_at, sent_at + make_interval(secs => %(lease)s)) END) - clock_timestamp())
FROM changes_change WHERE version > done AND parked_at IS NULL
"""

_MARK = """
UPDATE changes_change AS c SET sent_at = clock_timestamp(), sent_version = greatest(c.sent_version, s.version)
FROM unnest(%(ids)s::uuid[], %(versions)s::bigint[]) AS s (id, version) WHERE c.id = s.id
"""

# One relay at a time; a second one waits as a stand-by. Released by the server when the process dies.
_LEAD = "SELECT pg_try_advisory_lock(hashtextextended('dosewright/relay', 0))"


@dataclass(frozen=True)
class Due:
    change_id: UUID
    org_id: UUID
    priority: int
    version: int

    @property
    def may_wait(self) -> bool:
        return self.priority >= LOW_PRIORITY


Publish = Callable[[Due], None]


def take_lead() -> bool:
    """Become the one active relay of this database; False while another one is."""
    with connections[RELAY_DB].cursor() as cursor:
        cursor.execute(_LEAD)
        return bool(cursor.fetchone()[0])


def relay_once(publish: Publish, *, batch: int = 100) -> int:
    """Publish one batch of due changes and mark them sent; returns how many.

    No row is locked while the broker is asked, so a slow broker delays no submission. An error of
    `publish` (broker down) leaves the rest of the batch unmarked and is raised.
    """
    bounds: dict[str, Any] = {
        "lease": settings.CHANGE_LEASE_S,
        "bound": settings.CHANGE_IN_FLIGHT,
        "bound_low": settings.CHANGE_IN_FLIGHT_LOW,
        "low": LOW_PRIORITY,
        "share": ORGANISATION_SHARE,
        "limit": batch,
    }
    with connections[RELAY_DB].cursor() as cursor:
        cursor.execute(_DUE, bounds)
        due = [Due(*row) for row in cursor.fetchall()]
        sent: list[Due] = []
        try:
            for item in due:
                publish(item)
                sent.append(item)
        finally:
            if sent:
                marks: dict[str, Any] = {
                    "ids": [d.change_id for d in sent],
                    "versions": [d.version for d in sent],
                }
                cursor.execute(_MARK, marks)
    return len(due)


def seconds_until_due() -> float | None:
    """How long until the next change is due by the clock (a delay or a lease); None when none is."""
    with connections[RELAY_DB].cursor() as cursor:
        cursor.execute(_NEXT_DUE, {"lease": settings.CHANGE_LEASE_S})
        seconds = cursor.fetchone()[0]
    return None if seconds is None else float(seconds)


def organisation_ids() -> list[UUID]:
    """Every organisation, for the daily sweep: the only other thing that the relay role may read."""
    with connections[RELAY_DB].cursor() as cursor:
        cursor.execute("SELECT id FROM tenancy_organisation ORDER BY id")
        return [row[0] for row in cursor.fetchall()]
