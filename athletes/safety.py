"""What restrains a prescription for the athlete's safety: advisory, never a diagnosis, no probability of anything.

Plain values; `athletes.safeties` reads them from the stored rows.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal, get_args
from uuid import UUID

from athletes.calc.absence import ReturnWeek
from athletes.calc.caution import Caution, PlannedWork, RecentWork, unaccustomed

__all__ = [
    "CODES",
    "NO_CONCERN",
    "Caution",
    "Hold",
    "HoldCode",
    "PlannedWork",
    "RecentWork",
    "ReturnWeek",
    "Safety",
    "unaccustomed",
]

HoldCode = Literal[
    "red_flag",
    "screening_yes",
    "screening_expired",
    "screening_missing",
    "pain",
    "absence_unconfirmed",
    "set_by_staff",
]
RETURN_METHOD: Final = "return scheme 1"
"""Of the shares of volume and what follows from them; raise the number when they change."""

CODES: Final[tuple[HoldCode, ...]] = get_args(HoldCode)
"""The gravest first: of several holds, a prescription tells this one."""


@dataclass(frozen=True)
class Hold:
    """Nothing is prescribed as written until a named person releases it.

    released_by says in words who may; safe_alternative what is offered meanwhile, always something. `cause` is
    the row that the hold rests on (what a release names), None where no release but a new row ends it.
    """

    code: HoldCode
    since: dt.date
    released_by: str
    safe_alternative: str
    cause: UUID | None = None


@dataclass(frozen=True)
class Safety:
    """Of one athlete on one date.

    volume_share: of the highest volume before an absence, 1 when nobody returns. volume_caps: by movement the most
    repetitions in one session that this makes, amount_caps: by movement and unit the most of what is not counted in
    repetitions; a movement that is not named was not done before the absence, and the planned volume times
    volume_share holds for it. to_failure False: no set is planned to failure.
    recent_failure: what was done by movement and day in the last four weeks, for `unaccustomed`. holds: all of
    them, `hold` is the gravest. notes: sentences for the athlete. returning_week counts from 1; return_week has the
    figures of that week (sessions, rest, lifting). age in whole years, None where it is not known. While an absence
    is asked about and nobody has answered, both shares are those of a first week, which is the light version, and
    returning_week is None.
    """

    hold: Hold | None = None
    volume_share: float = 1.0
    to_failure: bool = True
    returning_week: int | None = None
    recent_failure: tuple[RecentWork, ...] = ()
    notes: tuple[str, ...] = ()
    volume_caps: Mapping[UUID, int] = field(default_factory=dict)
    amount_caps: Mapping[tuple[UUID, str], int] = field(default_factory=dict)
    holds: tuple[Hold, ...] = ()
    return_week: ReturnWeek | None = None
    age: int | None = None


NO_CONCERN: Final = Safety()
