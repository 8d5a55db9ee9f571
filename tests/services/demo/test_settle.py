"""How long the demo waits for its recomputes: as long as one is begun or ended."""

import datetime as dt
import uuid

import pytest

from services.demo import scene as module
from services.demo.errors import DemoError
from services.demo.scene import Scene


class Clock:
    """Time that passes by sleeping alone."""

    def __init__(self) -> None:
        self.now = 0.0

    def monotonic(self) -> float:
        return self.now

    def sleep(self, seconds: float) -> None:
        self.now += seconds


class Queue(Scene):
    """A scene that looks at an invented queue: one recompute ends every `pace_s`, down to `stuck`."""

    clock: Clock
    pace_s: float
    stuck: int = 0

    def _due(self) -> list[tuple[object, ...]]:
        left = max(self.stuck, 20 - int(self.clock.now / self.pace_s))
        return [(number,) for number in range(left)]


def queue(monkeypatch: pytest.MonkeyPatch, pace_s: float, stuck: int = 0) -> Queue:
    clock = Clock()
    monkeypatch.setattr(module, "time", clock)
    made = Queue(0, str(uuid.uuid4()), "", dt.datetime(2030, 1, 1, tzinfo=dt.UTC))
    made.clock, made.pace_s, made.stuck = clock, pace_s, stuck
    return made


def test_a_slow_machine_is_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twenty recomputes of a minute and a half each take half an hour; none stood still for two minutes."""
    assert queue(monkeypatch, 90.0).settle() == pytest.approx(20 * 90.0, abs=1.0)


def test_what_stands_still_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two minutes after the last one that ended, with how many are left."""
    made = queue(monkeypatch, 10.0, stuck=13)
    with pytest.raises(DemoError, match="13 recomputes are still to be done and nothing was done for 120 s"):
        made.settle()
    assert made.clock.now == pytest.approx(7 * 10.0 + 120.0, abs=1.0)


def test_no_wait_is_endless(monkeypatch: pytest.MonkeyPatch) -> None:
    """What goes on beyond the limit is said to be late, not stuck."""
    with pytest.raises(DemoError, match="after 500 s"):
        queue(monkeypatch, 60.0).settle(longest_s=500.0)
