"""How long the pages take in an organisation of thousands: from the request to the last byte, on the same machine."""

from __future__ import annotations

import http.client
import time
from collections.abc import Mapping
from typing import Final
from uuid import UUID

from django.conf import settings
from django.contrib.sessions.backends.signed_cookies import SessionStore
from django.urls import reverse

from services.bench.clients import quantile
from services.bench.crowd_ground import Crowd, make_crowd
from services.bench.report import Report
from services.bench.usage import group_usage
from services.console.browser import KEPT
from services.devstack.fleet import Fleet

LIMIT_MS: Final = 200.0
WARM_UP: Final = 8
REPETITIONS: Final = 40
TIMEOUT_S: Final = 60.0


def pages(report: Report, port: int, fleet: Fleet) -> None:
    """One reader after another opens each page; nothing else is asked meanwhile.

    Processor time is that of the web alone; other work on the machine lengthens it less than the time on the clock.
    """
    began = time.monotonic()
    crowd = make_crowd()
    report.title(f"Pages in an organisation of {crowd.athletes} athletes, {REPETITIONS} times each")
    report.row("made", f"in {time.monotonic() - began:.1f} s")
    for name, (reader, path) in addresses(crowd).items():
        size, ms, cpu_ms = _measure(port, path, crowd.tokens[reader], fleet)
        told = ", ".join(f"{label} {quantile(ms, q):.3g}" for label, q in (("p50", 0.5), ("p95", 0.95)))
        report.row(name, f"{told}, max {max(ms):.3g} ms{cpu_ms}; {size / 1024:.0f} KiB")
        report.limit(f"page: {name}, p95", quantile(ms, 0.95), LIMIT_MS, "ms")


def addresses(crowd: Crowd) -> Mapping[str, tuple[str, str]]:
    """By name of the page who opens it, and where it is."""

    def at(name: str, *args: UUID) -> str:
        return reverse(f"console:{name}", args=[crowd.org_id, *args])

    day = f"{at('today')}?date={crowd.day.isoformat()}"
    return {
        "today": ("coach", day),
        "today, one location": ("coach", f"{day}&location={crowd.location}"),
        "today, staff of one gym": ("staff", day),
        "today, an athlete": ("athlete", day),
        "session of 60": ("coach", at("session", crowd.session)),
        "session of 60, staff of its gym": ("staff", at("session", crowd.session)),
        "athletes, all locations": ("coach", at("athletes")),
        "athletes of one location": ("coach", f"{at('athletes')}?location={crowd.location}"),
        "athletes by name": ("coach", f"{at('athletes')}?name=lete+17"),
        "athlete": ("coach", at("athlete", crowd.athlete)),
        "history of a movement": ("coach", at("history", crowd.athlete, crowd.movement)),
        "results to look at": ("coach", at("reviews")),
        "pain and warning signs": ("coach", at("reports")),
        "an athlete's own sessions": ("athlete", at("my-sessions")),
        "an athlete's own session": ("athlete", at("my-session", crowd.session)),
    }


def _measure(port: int, path: str, token: str, fleet: Fleet) -> tuple[int, list[float], str]:
    """(bytes, milliseconds of each, the processor time of one as text, "" where it cannot be known).

    Raises RuntimeError for any answer but the page.
    """
    store = SessionStore()
    store[KEPT] = token
    store.save()
    headers = {"Cookie": f"{settings.SESSION_COOKIE_NAME}={store.session_key}"}
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=TIMEOUT_S)
    try:
        for _ in range(WARM_UP):
            size, _ = _get(connection, path, headers)
        before = group_usage(fleet.pid("web"))
        ms = [_get(connection, path, headers)[1] for _ in range(REPETITIONS)]
        after = group_usage(fleet.pid("web"))
    finally:
        connection.close()
    if before is None or after is None:
        return size, ms, ""
    return size, ms, f", web {1000.0 * (after.cpu_s - before.cpu_s) / REPETITIONS:.3g} ms CPU"


def _get(connection: http.client.HTTPConnection, path: str, headers: Mapping[str, str]) -> tuple[int, float]:
    began = time.perf_counter()
    connection.request("GET", path, headers=dict(headers))
    answer = connection.getresponse()
    text = answer.read()
    took = 1000.0 * (time.perf_counter() - began)
    if answer.status != http.client.OK:
        raise RuntimeError(f"{path} answered {answer.status}: {text[:500]!r}")
    return len(text), took
