"""A report as it arrives, and what of it is stored otherwise than it was told: nothing is refused for its form.

Whoever reports a sign of an emergency has other things to think of than clocks, identifiers and links.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from dataclasses import asdict, dataclass
from typing import Final
from uuid import UUID

NOT_TOLD: Final = "not_told"
UNREADABLE: Final = "unreadable"
IN_THE_FUTURE: Final = "in_the_future"
UNKNOWN_REFERENCE: Final = "unknown_reference"
USED_BEFORE: Final = "used_before"

REASONS: Final[dict[str, str]] = {
    NOT_TOLD: "Nobody said when; taken as now.",
    UNREADABLE: "This is no time with an offset; taken as now.",
    IN_THE_FUTURE: "This lies in the future; taken as now. Check the clock of the device.",
    UNKNOWN_REFERENCE: "There is no such scheduled session in this organisation; stored without one.",
    USED_BEFORE: "This client_id came before with something else; stored as a report of its own.",
}


@dataclass(frozen=True)
class Told:
    """A report as it arrives. kind pain has site, side and severity 0..10; kind red_flag has the sign.

    happened_at: an instant, a text that is none, or None where nobody said when.
    """

    kind: str
    happened_at: dt.datetime | str | None = None
    sign: str = ""
    site: str = ""
    side: str = ""
    severity: int | None = None
    session_id: UUID | None = None
    during: str = ""
    note: str = ""

    def digest(self) -> str:
        """SHA-256 of all that was told; two that are equal were told the same."""
        written = json.dumps(asdict(self), sort_keys=True, default=_as_text)
        return hashlib.sha256(written.encode()).hexdigest()

    def instant(self, now: dt.datetime) -> tuple[dt.datetime, list[Otherwise]]:
        """When it happened, `now` at the latest, and why that is not what was told."""
        if self.happened_at is None:
            return now, [Otherwise("happened_at", None, NOT_TOLD)]
        if isinstance(self.happened_at, str):
            return now, [Otherwise("happened_at", self.happened_at, UNREADABLE)]
        if self.happened_at > now:
            return now, [Otherwise("happened_at", _as_text(self.happened_at), IN_THE_FUTURE)]
        return self.happened_at, []


@dataclass(frozen=True)
class Otherwise:
    """A field that is not stored as it was told; reason is a key of REASONS."""

    field: str
    told: str | None
    reason: str

    def to_json(self) -> dict[str, str | None]:
        return asdict(self)


def _as_text(value: object) -> str:
    """An instant in UTC whatever its offset was, so that the same one reads the same."""
    return value.astimezone(dt.UTC).isoformat() if isinstance(value, dt.datetime) else str(value)
