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

FIRST_YEAR: Final = 2000
"""Ours: a clock that says less has never been set; zero of many devices is 1970, of others the year 1."""

NOT_TOLD: Final = "not_told"
UNREADABLE: Final = "unreadable"
IN_THE_FUTURE: Final = "in_the_future"
TOO_LONG_AGO: Final = "too_long_ago"
UNKNOWN_REFERENCE: Final = "unknown_reference"
NO_REFERENCE: Final = "no_reference"
USED_BEFORE: Final = "used_before"
KEY_USED_BEFORE: Final = "key_used_before"
KEY_UNUSABLE: Final = "key_unusable"
EMPTY: Final = "empty"
NO_TEXT: Final = "no_text"
TOO_LONG: Final = "too_long"
SENT_IN_LIST: Final = "sent_in_list"
UNSTORABLE: Final = "unstorable"
NO_WORD: Final = "no_word"
NO_SIGN: Final = "no_sign"
NO_PLACE: Final = "no_place"
NO_SEVERITY: Final = "no_severity"
SEVERITY_OPEN: Final = "severity_open"
ROUNDED: Final = "rounded"
TOO_HIGH: Final = "too_high"
PLACE_OPEN: Final = "place_open"
SIGN_NAMED: Final = "sign_named"
SENT_TWICE: Final = "sent_twice"
UNKNOWN_FIELD: Final = "unknown_field"
UNKNOWN_PARAMETER: Final = "unknown_parameter"

REASONS: Final[dict[str, str]] = {
    NOT_TOLD: "Nobody said when; taken as now.",
    UNREADABLE: "This is no time with an offset; taken as now.",
    IN_THE_FUTURE: "This lies in the future; taken as now. Check the clock of the device.",
    TOO_LONG_AGO: f"Before the year {FIRST_YEAR} is too long ago; taken as now. Check the clock of the device.",
    UNKNOWN_REFERENCE: "There is no such scheduled session in this organisation; stored without one.",
    USED_BEFORE: "This client_id came before with something else; stored as a report of its own.",
    NO_REFERENCE: "This is no identifier of a session; stored without one.",
    KEY_USED_BEFORE: "This key came before with something else; stored as a report of its own.",
    KEY_UNUSABLE: "This key is not of 16 to 128 visible characters; stored as if there were none.",
    EMPTY: "Nothing was told here; left empty.",
    NO_TEXT: "This is no text; a number is kept as it was written, anything else is left out.",
    TOO_LONG: "This is longer than there is room for; its beginning is stored. Of a text the rest is told here.",
    SENT_IN_LIST: "This came as a list of one report; taken as that report.",
    UNSTORABLE: "This holds characters that cannot be stored or read; they are left out.",
    NO_WORD: "This is none of the words that are known here; left out.",
    NO_SIGN: "This is none of the signs that are known here; it counts as other, in its own words in the note.",
    NO_PLACE: "This is none of the places that are known here; left out. Which side it is has a field of its own.",
    NO_SEVERITY: "This is no number from 0 to 10; left out.",
    SEVERITY_OPEN: "It is not known how strong it is; taken as strong until somebody has asked.",
    ROUNDED: "This is no whole number; taken as the next higher one.",
    TOO_HIGH: "This is more than the highest of the scale; taken as that.",
    PLACE_OPEN: "It is not known where; stored without it, ask.",
    SIGN_NAMED: "A sign of an emergency was named; stored as a report of the kind red_flag.",
    SENT_TWICE: "This came more than once; the first that can be read is taken, a red flag before pain.",
    UNKNOWN_FIELD: "This field is not known here; left out.",
    UNKNOWN_PARAMETER: "This parameter of the address is not known here; passed over.",
}


@dataclass(frozen=True)
class Told:
    """A report as it arrives. kind pain has site, side and severity 0..10; kind red_flag has the sign.

    happened_at: an instant, a text that is none, or None where nobody said when. severity None of pain: nobody said
    how strong, or it could not be read. otherwise: what was taken otherwise when it was read.
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
    otherwise: tuple[Otherwise, ...] = ()

    def digest(self) -> str:
        """SHA-256 of all that was told; two that are equal were told the same."""
        fields = asdict(self)
        if not self.otherwise:  # so that a report of before this field is the same when it is sent again
            del fields["otherwise"]
        written = json.dumps(fields, sort_keys=True, default=_as_text)
        return hashlib.sha256(written.encode()).hexdigest()

    def instant(self, now: dt.datetime) -> tuple[dt.datetime, list[Otherwise]]:
        """When it happened, `now` at the latest, and why that is not what was told."""
        if self.happened_at is None:
            return now, [Otherwise("happened_at", None, NOT_TOLD)]
        if isinstance(self.happened_at, str):
            reason = UNREADABLE if self.happened_at.strip() else NOT_TOLD
            return now, [Otherwise("happened_at", self.happened_at, reason)]
        if self.happened_at.year < FIRST_YEAR:
            return now, [Otherwise("happened_at", _as_text(self.happened_at), TOO_LONG_AGO)]
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
    """An instant in UTC whatever its offset was, so that the same one reads the same.

    At the ends of the calendar UTC may lie beyond it; such a one stays as it was told.
    """
    if not isinstance(value, dt.datetime):
        return str(value)
    return (value.astimezone(dt.UTC) if dt.MINYEAR < value.year < dt.MAXYEAR else value).isoformat()
