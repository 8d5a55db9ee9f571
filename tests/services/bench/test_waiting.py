"""The bench waits as long as something becomes done, and no longer."""

from __future__ import annotations

from collections.abc import Callable
from uuid import uuid4

import pytest
from django.db.models import F
from django.utils import timezone

from services.bench import waiting
from services.bench.waiting import IDLE_S, NotDoneError, wait_until_done
from services.changes.models import Change
from tests.support.cast import Cast

pytestmark = pytest.mark.django_db

FAN = 60
LOOK_S = 20.0


class Clock:
    """Stands in for the module `time`: nothing passes but what is slept, and then something happens."""

    def __init__(self, happens: Callable[[int], None]) -> None:
        self.now, self.looks, self.happens = 0.0, 0, happens

    def monotonic(self) -> float:
        return self.now

    def sleep(self, _seconds: float) -> None:
        self.now += LOOK_S
        self.looks += 1
        self.happens(self.looks)


def add(cast: Cast, count: int) -> None:
    now = timezone.now()
    Change.objects.bulk_create(
        Change(org=cast.org, kind="athlete", subject=uuid4(), due_at=now, marked_at=now) for _ in range(count)
    )


def finish_one() -> None:
    first = Change.objects.filter(version__gt=F("done")).order_by("id").first()
    assert first is not None
    Change.objects.filter(id=first.id).update(done=F("version"))


def waited(cast: Cast, monkeypatch: pytest.MonkeyPatch, happens: Callable[[int], None]) -> float:
    monkeypatch.setattr(waiting, "time", Clock(happens))
    return wait_until_done(cast.org.id)


def test_what_fans_out_is_waited_for_while_it_is_worked_off(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One change becomes sixty; for most of the time more is left than there was at first."""

    def happens(look: int) -> None:
        with cast.inside():
            finish_one()
            if look == 1:
                add(cast, FAN)

    with cast.inside():
        Change.objects.all().delete()
        add(cast, 1)
    assert (FAN - 1) * LOOK_S > IDLE_S
    assert waited(cast, monkeypatch, happens) == (FAN + 1) * LOOK_S


@pytest.mark.parametrize("written", [False, True])
def test_where_nothing_becomes_done_nobody_waits_on(
    cast: Cast, monkeypatch: pytest.MonkeyPatch, written: bool
) -> None:
    """Nor where more and more is written meanwhile."""

    def happens(look: int) -> None:
        with cast.inside():
            if look <= 2:
                finish_one()
            elif written:
                add(cast, 1)

    with cast.inside():
        Change.objects.all().delete()
        add(cast, 4)
    monkeypatch.setattr(waiting, "time", clock := Clock(happens))
    with pytest.raises(NotDoneError, match="none was recomputed"):
        wait_until_done(cast.org.id)
    assert 2 * LOOK_S + IDLE_S < clock.now <= 3 * LOOK_S + IDLE_S


def test_a_failed_recompute_is_told_at_once(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    with cast.inside():
        Change.objects.all().delete()
        add(cast, 2)
        Change.objects.update(error="No such movement.")
    with pytest.raises(NotDoneError, match="No such movement"):
        waited(cast, monkeypatch, lambda _look: None)
