"""Writing, claiming and finishing change rows. Everything is one statement each: no row lock is held long."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.conf import settings

from services.tenancy.context import required_org
from services.tenancy.cursors import kept_cursor
from services.tenancy.locks import try_to_take

CHANNEL = "dosewright_change"
LOW_PRIORITY = 10

# A write takes no try back: while people go on logging, what keeps failing waits as long after each try as without
# them, and is parked after as many. A write to what is parked frees it for one try, not sooner than after a rest that
# is twice the last wait (5 min at most); that one parks it again or, when the cause is gone, ends all of it. So a
# subject that cannot be worked out costs one try in each such rest, however much is written, and nobody need look
# after one that can be again. `retry` gives all tries, at once.
_RECORD = """
INSERT INTO changes_change AS c
    (id, org_id, created_at, kind, subject, from_date, priority, version, done, sent_version, due_at, tries, error,
     marked_at)
SELECT gen_random_uuid(), %(org)s, now(), %(kind)s, subject, %(from_date)s, %(priority)s, 1, 0, 0,
       now() + make_interval(secs => %(delay_s)s), 0, '', clock_timestamp()
FROM unnest(%(subjects)s::uuid[]) AS subject ORDER BY subject
ON CONFLICT (org_id, kind, subject) DO UPDATE SET
    version = c.version + 1,
    from_date = least(c.from_date, excluded.from_date),
    priority = least(CASE WHEN c.version > c.done THEN c.priority ELSE excluded.priority END, excluded.priority),
    due_at = CASE WHEN c.parked_at IS NOT NULL THEN greatest(
                      excluded.due_at, c.parked_at + make_interval(secs => least(300, power(2, c.tries + 1))))
                  WHEN c.version > c.done AND c.error <> '' THEN c.due_at
                  WHEN c.version > c.done THEN least(c.due_at, excluded.due_at) ELSE excluded.due_at END,
    tries = CASE WHEN c.parked_at IS NULL THEN c.tries ELSE greatest(c.tries - 1, 0) END,
    sent_at = CASE WHEN c.parked_at IS NULL THEN c.sent_at END,
    parked_at = NULL,
    marked_at = CASE WHEN c.version > c.done THEN c.marked_at ELSE clock_timestamp() END
"""

_CLAIM = """
UPDATE changes_change SET tries = tries + 1
WHERE org_id = %(org)s AND id = %(id)s AND version > done AND parked_at IS NULL
RETURNING kind, subject, version, from_date, tries, priority
"""

_GIVE_BACK = """
UPDATE changes_change SET tries = greatest(tries - 1, 0) WHERE org_id = %(org)s AND id = %(id)s
"""

_PARK = """
UPDATE changes_change SET error = %(error)s, tries = %(max_tries)s, parked_at = clock_timestamp()
WHERE org_id = %(org)s AND id = %(id)s
"""

_RENEW = """
UPDATE changes_change SET sent_at = clock_timestamp() WHERE org_id = %(org)s AND id = %(id)s AND sent_at IS NOT NULL
"""

# What was written meanwhile waits behind those of the organisation who wait already: the oldest due comes first, and
# a subject that is written all the time would else be due since its first write, before all others and for ever.
_FINISH = """
UPDATE changes_change SET
    done = greatest(done, %(version)s),
    due_at = CASE WHEN version <= %(version)s THEN due_at ELSE greatest(due_at, clock_timestamp()) END,
    from_date = CASE WHEN version <= %(version)s THEN NULL ELSE from_date END,
    tries = 0, error = '', done_at = clock_timestamp(),
    marked_at = CASE WHEN version <= %(version)s THEN marked_at ELSE clock_timestamp() END
WHERE org_id = %(org)s AND id = %(id)s
RETURNING version > done
"""

# Back off 2, 4, 8 … s (at most 5 min); park when the tries are used up.
_FAIL = """
UPDATE changes_change SET
    error = %(error)s, sent_at = NULL,
    due_at = clock_timestamp() + make_interval(secs => least(300, power(2, tries))),
    parked_at = CASE WHEN tries >= %(max_tries)s THEN clock_timestamp() END
WHERE org_id = %(org)s AND id = %(id)s
RETURNING parked_at IS NOT NULL
"""

_RETRY = """
UPDATE changes_change SET
    tries = 0, error = '', parked_at = NULL, sent_at = NULL, due_at = clock_timestamp()
WHERE org_id = %(org)s AND id = %(id)s AND parked_at IS NOT NULL
"""


@dataclass(frozen=True)
class Claim:
    """What a worker has begun: the change at the version that it must at least cover."""

    id: UUID
    org_id: UUID
    kind: str
    subject: UUID
    version: int
    from_date: date | None
    tries: int
    priority: int

    @property
    def abandoned(self) -> bool:
        """Whether all tries were begun before this one, and the last of them neither ended nor failed."""
        return bool(self.tries > settings.CHANGE_MAX_TRIES)


def record_changes(
    *,
    kind: str,
    subjects: Iterable[UUID],
    from_date: date | None = None,
    priority: int = 0,
    delay_s: float = 0.0,
) -> None:
    """Mark the subjects as to be recomputed, in the caller's transaction (two statements).

    `delay_s` lets several changes of a costly subject gather. The notification only wakes the relay; a
    lost one costs a poll interval, never a change.
    """
    subject_list = sorted(set(subjects))
    if not subject_list:
        return
    row: dict[str, Any] = {
        "org": required_org(),
        "kind": kind,
        "subjects": subject_list,
        "from_date": from_date,
        "priority": priority,
        "delay_s": delay_s,
    }
    cursor = kept_cursor()
    cursor.execute(_RECORD, row)
    cursor.execute("SELECT pg_notify(%s, '')", [CHANNEL])


def record_change(
    *, kind: str, subject: UUID, from_date: date | None = None, priority: int = 0, delay_s: float = 0.0
) -> None:
    """Mark one subject; see `record_changes`."""
    record_changes(kind=kind, subjects=[subject], from_date=from_date, priority=priority, delay_s=delay_s)


def claim(change_id: UUID) -> Claim | None:
    """Begin a change: count the try and read its version; None when there is nothing (more) to do."""
    cursor = kept_cursor()
    cursor.execute(_CLAIM, {"org": required_org(), "id": change_id})
    row = cursor.fetchone()
    return None if row is None else Claim(change_id, required_org(), *row)


def give_back(claimed: Claim) -> None:
    """Take the try back that the claim has counted: another worker has the subject, so nothing was tried."""
    cursor = kept_cursor()
    cursor.execute(_GIVE_BACK, {"org": claimed.org_id, "id": claimed.id})


def park(claimed: Claim, error: str) -> None:
    """Set a change aside until a person, or the next write of its subject, asks for it again."""
    cursor = kept_cursor()
    cursor.execute(_PARK, _with_error(claimed, error))


def retry(change_id: UUID) -> None:
    """Take a parked change up again, with all its tries; what is not parked is left alone."""
    cursor = kept_cursor()
    cursor.execute(_RETRY, {"org": required_org(), "id": change_id})
    cursor.execute("SELECT pg_notify(%s, '')", [CHANNEL])


def hold_subject(claimed: Claim) -> bool:
    """Keep other workers off this subject until the transaction ends; False when one has it already."""
    return try_to_take(f"{claimed.org_id}/{claimed.kind}/{claimed.subject}")


def renew_lease(claimed: Claim) -> None:
    """Say that the change is being worked on: what takes long goes to no second worker while it goes on."""
    cursor = kept_cursor()
    cursor.execute(_RENEW, {"org": claimed.org_id, "id": claimed.id})


def finish(claimed: Claim) -> None:
    """Note, when all results are written, that the claimed version is covered."""
    cursor = kept_cursor()
    cursor.execute(_FINISH, {"org": claimed.org_id, "id": claimed.id, "version": claimed.version})
    if cursor.fetchone()[0]:
        cursor.execute("SELECT pg_notify(%s, '')", [CHANNEL])


def fail(claimed: Claim, error: str) -> bool:
    """Put the change off, or park it after too many tries; True when it is parked."""
    cursor = kept_cursor()
    cursor.execute(_FAIL, _with_error(claimed, error))
    return bool(cursor.fetchone()[0])


def _with_error(claimed: Claim, error: str) -> dict[str, Any]:
    """What is asked where a try has failed."""
    return {
        "org": claimed.org_id,
        "id": claimed.id,
        "error": error[:4000],
        "max_tries": settings.CHANGE_MAX_TRIES,
    }
