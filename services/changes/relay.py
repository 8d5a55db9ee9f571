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

RELAY_DB = "relay"

# A newer version of a subject is sent when the sent one is done: thirty results of one session make a few
# rankings, not thirty. `sent_version` is the version that was read before publishing, so a mark that arrives
# after the worker has finished hides nothing newer.
_DUE = """
SELECT id, org_id, priority, version FROM changes_change
WHERE version > done AND parked_at IS NULL AND due_at <= clock_timestamp()
  AND (sent_at IS NULL OR (done >= sent_version AND version > sent_version)
       OR sent_at < clock_timestamp() - make_interval(secs => %(lease)s))
ORDER BY priority, due_at LIMIT %(limit)s
"""

_IN_FLIGHT = """
SELECT count(*) FROM changes_change
WHERE version > done AND sent_version > done AND parked_at IS NULL
  AND sent_at >= clock_timestamp() - make_interval(secs => %(lease)s)
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
    lease = settings.CHANGE_LEASE_S
    with connections[RELAY_DB].cursor() as cursor:
        cursor.execute(_IN_FLIGHT, {"lease": lease})
        room = settings.CHANGE_IN_FLIGHT - int(cursor.fetchone()[0])
        if room <= 0:
            return 0
        cursor.execute(_DUE, {"lease": lease, "limit": min(batch, room)})
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
