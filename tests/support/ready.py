"""Organisations that are made once a process, committed, and handed to one test after another.

Only to tests whose transaction is rolled back at the end, so that each finds them as they were made; to the others,
and beyond the few that are ready, one is made on the spot. They hold no change that waits for a recompute: who asks
for what is due anywhere finds nothing of theirs.
"""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Callable

from django.db import connection
from django.db.transaction import Atomic

from athletes.actions.priors import take_prior_snapshot
from programming.actions.catalogue import install_catalogue
from tests.support.cast import Cast, make_cast


class Ready:
    """Organisations of one kind."""

    def __init__(self, make: Callable[[], Cast], number: int) -> None:
        self._make, self._number = make, number
        self._made: list[Cast] = []
        self._left: list[Cast] = []
        self._test: Atomic | None = None

    def prepare(self) -> None:
        """Outside of any transaction."""
        self._made = [self._make() for _ in range(self._number)]

    def take(self) -> Cast:
        """One that this test has not had yet, with objects of its own: a test may change them."""
        test = _rolled_back_with()
        if test is None:
            return self._make()
        if test is not self._test:
            self._test, self._left = test, list(self._made)
        return copy.deepcopy(self._left.pop()) if self._left else self._make()


def _rolled_back_with() -> Atomic | None:
    """The transaction that pytest-django rolls back after this test."""
    outermost = connection.atomic_blocks[:1]
    return outermost[0] if outermost and outermost[0]._from_testcase else None


def _plain() -> Cast:
    """Tests move the clock by years; whoever asks when a token ends makes one."""
    return make_cast(life=dt.timedelta(days=36_500))


def _stocked() -> Cast:
    cast = _plain()
    with cast.inside():
        install_catalogue(org=cast.org)
    return cast


def _at_work() -> Cast:
    cast = _stocked()
    with cast.inside():
        take_prior_snapshot(org=cast.org)
    return cast


CASTS = Ready(_plain, 1)
STOCKED = Ready(_stocked, 1)
"""With the shipped catalogue."""
AT_WORK = Ready(_at_work, 2)
"""And with what is thought of people nobody has tested."""


def prepare() -> None:
    for one in (CASTS, STOCKED, AT_WORK):
        one.prepare()
