"""Whose turn it is to have something long worked out within a request: few at once, and of one organisation one.

A turn is an advisory lock until the transaction ends, or the savepoint within which it was taken is taken back; so it
holds across all processes of the web and is given back by whatever ends the request. Nobody waits for one: a thread
that waits would be missing for everybody else.
"""

from __future__ import annotations

from typing import Final

from scoring.errors import ReachCheckRunning
from services.problems import Unavailable
from services.tenancy.context import required_org
from services.tenancy.locks import try_to_take

AT_ONCE: Final = 2
"""Of the whole service: each takes a processor for some seconds, which recomputes and other requests lack (ours)."""
RETRY_AFTER_S: Final = 5
"""As long as the longest reach check takes (ours; `scoring.reach.MOST_EFFORT`)."""


def take_turn() -> None:
    """The turn for a reach check, until the transaction ends. Raises ReachCheckRunning and Unavailable.

    One query for the organisation's own, and one for each of the service's that is taken.
    """
    if not try_to_take(f"{required_org()}/reach"):
        raise ReachCheckRunning(headers={"Retry-After": str(RETRY_AFTER_S)})
    if not any(try_to_take(f"dosewright/reach/{number}") for number in range(AT_ONCE)):
        detail = f"The service works out {AT_ONCE} reach checks at once, and so many are under way."
        raise Unavailable(f"{detail} {Unavailable.remedy}", headers={"Retry-After": str(RETRY_AFTER_S)})


def has_turn_after_check() -> bool:
    """Whether what follows from a check set may be worked out now: one of an organisation, as many of the service as
    of reach checks, which have turns of their own. Who has none is told as much as the set itself shows.
    """
    if not try_to_take(f"{required_org()}/after_check"):
        return False
    return any(try_to_take(f"dosewright/after_check/{number}") for number in range(AT_ONCE))
