"""The numbers that the bench prints: quantiles, limits, and the schedule of the steady client."""

from __future__ import annotations

import io
from typing import Any
from uuid import uuid4

import numpy as np
import pytest

from services.bench.clients import RefusedError, open_loop, quantile
from services.bench.report import Report


@pytest.mark.parametrize("q", [0.01, 0.5, 0.95, 1.0])
@pytest.mark.parametrize("count", [1, 2, 20, 99, 100])
def test_quantiles_are_those_of_the_inverted_distribution(q: float, count: int) -> None:
    """Against numpy's `inverted_cdf`."""
    values = np.random.default_rng(count).normal(size=count).tolist()
    assert quantile(values, q) == np.quantile(values, q, method="inverted_cdf")


def test_a_missed_limit_is_told() -> None:
    """One limit that is passed, upwards or downwards, and the whole report is not in order."""
    for value, at_least, holds in ((2.0, False, True), (2.1, False, False), (1.9, True, False)):
        out = io.StringIO()
        report = Report(out)
        report.limit("something", value, 2.0, "ms", at_least=at_least)
        assert report.close() is holds
        assert ("MISSED" in out.getvalue()) is not holds


class _Client:
    def __init__(self, failing: bool) -> None:
        self.failing = failing

    def send(self, body: dict[str, Any]) -> None:
        if self.failing:
            raise RefusedError("409")


def test_the_steady_client_keeps_its_schedule() -> None:
    """Due times are start + n / rate, whatever was answered; no result is sent before it is due."""
    athletes = [uuid4() for _ in range(40)]
    make: Any = lambda: _Client(failing=False)  # noqa: E731
    sent = open_loop(make, lambda number: (athletes[number], {}), count=40, per_second=200.0, threads=4)
    due = sorted(one.due for one in sent)
    assert np.diff(due) == pytest.approx(1.0 / 200.0, abs=1e-5)
    assert {one.athlete for one in sent} == set(athletes)
    assert all(one.due <= one.began <= one.accepted for one in sent)


def test_a_refusal_ends_the_measurement() -> None:
    """A bench that measured refusals would look fast."""
    make: Any = lambda: _Client(failing=True)  # noqa: E731
    with pytest.raises(RefusedError, match="409"):
        open_loop(make, lambda number: (uuid4(), {}), count=5, per_second=500.0, threads=2)
