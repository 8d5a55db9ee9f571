"""The measurements in their order: the calculation, the way of a result, the door, a week, the pages."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final
from uuid import UUID

from services.bench.calculation import (
    LOAD_DAYS,
    OBSERVATIONS,
    OPTIONS,
    measure,
    measure_interpreted,
    measure_plain,
)
from services.bench.clients import Client, Make, Sent, closed_loop, open_loop, quantile
from services.bench.ground import Ground, make_ground, result_body
from services.bench.pages import pages
from services.bench.report import Report
from services.bench.usage import Usage, busy_s, group_usage
from services.bench.waiting import follow, numbers, wait_until_done
from services.bench.weekly import week
from services.devstack.fleet import Fleet, service_commands
from services.devstack.processes import choose_port

RESULTS: Final = 600
PER_SECOND: Final = 20.0
OPEN_THREADS: Final = 16
CLOSED_THREADS: Final = 8
CLOSED_S: Final = 6.0
WARM_UP: Final = 24
REPETITIONS: Final = 40
ROUNDS: Final = 5

CAPACITY_MS: Final = 2.0
CAPACITY_WORK_MS: Final = 4.0  # soreness is one more unknown beside strength and the judging of reserve
PRESCRIPTION_MS: Final = 40.0
LOAD_MS: Final = 2.0
LOAD_DAY_MS: Final = 0.2
CHANGED_P95_S: Final = 1.0
CHANGED_SHARE: Final = 0.95
RATE_SHARE: Final = 0.99
WEEK: Final = "week"
PARTS: Final = (WEEK, "pages")


def run(directory: Path, out: Any, *, results: int = RESULTS) -> bool:
    """Measure everything and print it, with that many athletes and results; whether all limits hold."""
    report = Report(out)
    calculation(report)
    ground = make_ground(results)
    with _service(directory) as (fleet, port):
        waited = wait_until_done(ground.org_id)
        report.title("First prescriptions, two of each athlete")
        report.row(
            f"{results} athletes", f"{waited:.1f} s, {2 * results / waited:.0f} prescriptions a second"
        )
        warm_up_the_web(ground, port)
        way_of_a_result(report, ground, port, fleet)
        door(report, ground, port)
        week(report, fleet)
        pages(report, port, fleet)
    return report.close()


def run_only(what: str, directory: Path, out: Any) -> bool:
    """The same for one of PARTS alone."""
    report = Report(out)
    with _service(directory) as (fleet, port):
        if what == WEEK:
            week(report, fleet)
        else:
            pages(report, port, fleet)
    return report.close()


@contextmanager
def _service(directory: Path) -> Iterator[tuple[Fleet, int]]:
    """All processes, ready, and the port of the web."""
    port = choose_port(None)
    fleet = Fleet(service_commands(port), directory)
    fleet.start()
    try:
        fleet.wait_ready()
        yield fleet, port
    finally:
        fleet.stop()


def calculation(report: Report) -> None:
    """Wall time in this process, nothing else of the service running."""
    compiled, interpreted, plain = measure(REPETITIONS, ROUNDS), measure_interpreted(), measure_plain()
    report.title(f"Calculation alone (the quickest of {ROUNDS} rounds of {REPETITIONS} runs)")
    for name, what, share, most_ms in (
        ("capacity", f"capacity, {OBSERVATIONS} observations", 0.5, CAPACITY_MS),
        ("capacity_work", f"the same with {OBSERVATIONS} sessions of work", 0.5, CAPACITY_WORK_MS),
        ("choice", f"choice by first sets, 2 x {OPTIONS} options", 0.95, PRESCRIPTION_MS),
        ("prescription", f"prescription, 2 x {OPTIONS} options", 0.95, PRESCRIPTION_MS),
        ("load", f"load of {LOAD_DAYS} days", 0.5, LOAD_MS),
        ("load_day", "load of one more day", 0.5, LOAD_DAY_MS),
    ):
        ms = [1000.0 * seconds for seconds in compiled[name].seconds]
        slow = 1000.0 * interpreted[name].seconds[0]
        middle = quantile(ms, 0.5)
        report.row(what, _spread(ms, "ms"))
        slowest = max(quantile(one, 0.5) for one in compiled[name].rounds)
        report.row("  the slowest round", f"p50 {1000.0 * slowest:.3g} ms")
        report.row("  the same code interpreted", f"{slow:.0f} ms, {slow / middle:.0f} times as long")
        difference = abs(compiled[name].value - interpreted[name].value)
        report.row("", f"differs by {difference:.2g}")
        if name in plain:
            took = 1000.0 * plain[name].seconds[0]
            report.row("  written plainly in Python", f"{took:.0f} ms, {took / middle:.0f} times as long")
        if f"{name}_pandas" in plain:
            took = 1000.0 * quantile(plain[f"{name}_pandas"].seconds, 0.5)
            report.row("  by pandas", f"{took:.3g} ms, {took / middle:.1f} times as long")
        report.limit(f"{what}, p{100 * share:.0f}", quantile(ms, share), most_ms, "ms")


def _client(ground: Ground, port: int) -> Make:
    return lambda: Client(port, ground.org_id, ground.token)


def warm_up_the_web(ground: Ground, port: int) -> None:
    """Let every thread of the web answer once: imports and connections come with the first request."""
    pairs = ground.pairs("earlier")[-WARM_UP:]
    closed_loop(
        _client(ground, port),
        lambda number: (pairs[number][1], result_body(*pairs[number], number)),
        count=len(pairs),
        seconds=60.0,
        threads=CLOSED_THREADS,
    )
    wait_until_done(ground.org_id)


def way_of_a_result(report: Report, ground: Ground, port: int, fleet: Fleet) -> None:
    """Results at a steady rate, each of another athlete; how long until the coming prescription changed."""
    pairs = ground.pairs("today")
    coming = [place.coming for place in ground.places]
    before, used = numbers(ground.org_id, coming), _usage(fleet)
    busy, began = busy_s(), time.monotonic()
    sent = open_loop(
        _client(ground, port),
        lambda number: (pairs[number][1], result_body(*pairs[number], number)),
        count=len(pairs),
        per_second=PER_SECOND,
        threads=OPEN_THREADS,
    )
    took, worked = time.monotonic() - began, busy_s()
    drained = wait_until_done(ground.org_id)
    after = numbers(ground.org_id, coming)
    changed = [athlete for athlete, number in after.items() if number > before.get(athlete, 0)]
    report.title(f"The way of a result: {len(pairs)} athletes, one result each, {PER_SECOND:g} a second")
    report.note("from the 201's arrival, and from the time at which the result was due to be sent, to the")
    report.note("last statement of the transaction that stores the new prescription")
    _print_way(report, ground.org_id, sent, changed)
    report.row(
        "changed prescriptions", f"{len(changed)} of {len(pairs)}; the rest done {drained:.1f} s later"
    )
    report.limit("prescriptions that changed", len(changed) / len(pairs), CHANGED_SHARE, "", at_least=True)
    _print_use(report, fleet, used, len(pairs))
    if busy is not None and worked is not None:
        cores = os.cpu_count() or 1
        report.row(
            "machine", f"{100.0 * (worked - busy) / took / cores:.0f} % of {cores} cores, clients with it"
        )


def _print_way(report: Report, org_id: UUID, sent: Sequence[Sent], changed: Sequence[UUID]) -> None:
    ways = follow(org_id, sent, set(changed))
    accepted, due = [way.since_accepted for way in ways], [way.since_due for way in ways]
    rate = (len(sent) - 1) / (max(one.began for one in sent) - min(one.began for one in sent))
    report.row("accepted -> changed prescription", _spread(accepted, "s"))
    report.row("due -> changed prescription", _spread(due, "s"))
    report.row("due -> accepted", _spread([1000.0 * (one.accepted - one.due) for one in sent], "ms"))
    report.row("late by the client", _spread([1000.0 * (one.began - one.due) for one in sent], "ms"))
    report.row("rate", f"{rate:.1f} a second")
    report.limit("rate reached", rate / PER_SECOND, RATE_SHARE, "", at_least=True)
    report.limit("due -> changed prescription, p95", quantile(due, 0.95), CHANGED_P95_S, "s")


def door(report: Report, ground: Ground, port: int) -> None:
    """As many submissions as answers allow, while what they ask for is recomputed beside them."""
    pairs = ground.pairs("earlier")[:-WARM_UP]
    sent = closed_loop(
        _client(ground, port),
        lambda number: (pairs[number][1], result_body(*pairs[number], number)),
        count=len(pairs),
        seconds=CLOSED_S,
        threads=CLOSED_THREADS,
    )
    span = max(one.accepted for one in sent) - min(one.began for one in sent)
    drained = wait_until_done(ground.org_id)
    report.title(f"The door: {CLOSED_THREADS} clients, each sends again when its 201 has come")
    report.row("submissions", f"{len(sent)} in {span:.1f} s, {len(sent) / span:.0f} a second")
    report.row("request", _spread([1000.0 * (one.accepted - one.began) for one in sent], "ms"))
    report.row("recomputed", f"{drained:.1f} s after the last")


def _usage(fleet: Fleet) -> dict[str, Usage | None]:
    return {name: group_usage(fleet.pid(name)) for name in fleet.names()}


def _print_use(report: Report, fleet: Fleet, before: dict[str, Usage | None], results: int) -> None:
    for name, now in _usage(fleet).items():
        then = before[name]
        if now is not None and then is not None:
            each = 1000.0 * (now.cpu_s - then.cpu_s) / results
            report.row(name, f"{each:.1f} ms CPU a result, {now.memory_mib:.0f} MiB")


def _spread(values: Sequence[float], unit: str) -> str:
    p50, p95, most = quantile(values, 0.5), quantile(values, 0.95), max(values)
    return f"p50 {p50:.3g}, p95 {p95:.3g}, max {most:.3g} {unit}"
