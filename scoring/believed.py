"""Which results are believed: what somebody refused is not, nor what cannot be and nobody has looked at yet.

Such a result is stored and scored, and tells nothing: neither how strong somebody is, nor what they have done.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from functools import reduce
from operator import or_
from typing import Final

from django.db.models import OuterRef, Q, QuerySet

from scoring.calc.finding import IMPLAUSIBLE
from scoring.models import Review

WITHHELD: Final = frozenset(
    {
        "impossible_speed",
        "too_many_repetitions",
        "too_many_rounds",
        "too_much_work",
        "unknown_work",
        IMPLAUSIBLE,
    }
)
"""After these a set does not tell how strong somebody is; a person decides first."""
CONTRADICTED: Final = frozenset(
    {
        "after_the_end",
        "breaks_inconsistent",
        "load_inconsistent",
        "misses_inconsistent",
        "no_swap",
        "over_cap",
        "past_interval_end",
        "penalty_not_owed",
        "penalty_not_served",
        "rest_between_too_short",
        "rests_exceed_elapsed",
        "smallest_interval_inconsistent",
        "split_after_end",
        "wrong_interval",
        "wrong_order",
        "wrong_round",
        "wrong_start",
    }
)
"""After these a number of the block, or that it was done by the rules, is in doubt: what was aimed at is judged once
a person has looked. What merely lacks something leaves what it lacks unknown by itself; pain, and when it was done,
are asked about and change no number.
"""
TIMES_CONTRADICTED: Final = frozenset({"past_interval_end", "rests_exceed_elapsed"})
"""Of these, those after which the seconds of the sets are in doubt: nothing is learned from them until then."""


def is_believed(accepted: bool | None, codes: Iterable[str]) -> bool:
    """Of a result in which this was found; accepted: what somebody decided, None: nobody has."""
    return WITHHELD.isdisjoint(codes) if accepted is None else accepted


def is_judged(accepted: bool | None, codes: Iterable[str]) -> bool:
    """Whether a believed block, in which this was found, is held against its aim."""
    return accepted is not None or CONTRADICTED.isdisjoint(codes)


def codes_of(review: Review) -> list[str]:
    """What was found in the result."""
    return [found["code"] for found in review.findings]


def unbelieved_reviews(attempt: str, withheld: Collection[str] = WITHHELD) -> QuerySet[Review]:
    """The same in the database, for `Exists`: reviews of results that are not believed; attempt: the outer column,
    withheld: what has to be looked at by somebody first.
    """
    doubts = reduce(or_, (Q(findings__contains=[{"code": code}]) for code in sorted(withheld)))
    return Review.objects.filter(Q(accepted=False) | Q(doubts, accepted=None), attempt=OuterRef(attempt))
