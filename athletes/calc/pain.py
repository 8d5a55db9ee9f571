"""When reported pain holds an athlete: it is strong, or it comes back at the same place.

Severity is told on the project's own scale from 0 (none) to 10 (the worst that the athlete can think of).
The limits are ours: advisory, a person decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

STRONG_FROM: Final = 7
"""Ours: the upper third of the scale; nobody should be asked to go on with it."""

REPEATED_FROM: Final = 3
"""Ours: below this it is a remark, which may be made every day."""

REPEATED_WITHIN_DAYS: Final = 14
"""Ours: two weeks take in every session of somebody who trains once a week, twice."""

CAUTION_DAYS: Final = 14
"""Ours: for how long a report is spoken of in prescriptions."""


@dataclass(frozen=True)
class Pain:
    """A report: site and side, severity 0..10, the ordinal of its day.

    Site and side are "" and severity is None where nobody said.
    """

    site: str
    side: str
    severity: int | None
    day: int


def is_strong(severity: int | None) -> bool:
    """Whether to stop at once; pain of which nobody said how strong it is may be, so it counts as strong."""
    return severity is None or severity >= STRONG_FROM


def holds(pain: Pain, earlier: Sequence[Pain]) -> bool:
    """Whether a report is reason enough to stop and ask; `earlier` are the athlete's reports before it."""
    if pain.severity is None or is_strong(pain.severity):
        return True
    return pain.severity >= REPEATED_FROM and any(
        _may_be_equal(one.site, pain.site)
        and _may_be_equal(one.side, pain.side)
        and (one.severity is None or one.severity >= REPEATED_FROM)
        and 0 <= pain.day - one.day <= REPEATED_WITHIN_DAYS
        for one in earlier
    )


def _may_be_equal(one: str, other: str) -> bool:
    """What nobody said may be the same place."""
    return one == other or not (one and other)
