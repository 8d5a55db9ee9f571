"""A week that was just published: all prescriptions of it, end to end, and the calculation alone."""

from __future__ import annotations

import gc
import os
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final
from uuid import UUID

from django.utils import timezone

from athletes.queries import AthleteInputs
from programming.calc.kit import parse_kit
from programming.plans import SessionPlan
from scoring.actions.desk import Desk, states_at
from scoring.candidates import Choice, gather_block
from scoring.loadable import loadable
from scoring.models import Prescription
from scoring.person import Person
from scoring.working_out import Known, work_out
from services.bench.clients import quantile
from services.bench.plain import SCENARIOS, plain_pacing
from services.bench.report import Report
from services.bench.usage import busy_s, group_usage
from services.bench.waiting import wait_until_done
from services.bench.week import RICH_KIT, WEEK
from services.bench.week_ground import WeekGround, make_week_ground, publish_week
from services.devstack.fleet import Fleet
from services.tenancy.context import tenant_transaction

ATHLETES: Final = 200
WANTED: Final = 10_000
CORES: Final = 2
END_TO_END_S: Final = 180.0
CALCULATION_S: Final = 60.0
CALCULATED: Final = 20
"""Athletes whose prescriptions are worked out for the row of the calculation alone."""
ROUNDS: Final = 5


@dataclass(frozen=True)
class Case:
    """What a prescription is worked out from, as the recompute does."""

    plan: SessionPlan
    inputs: AthleteInputs
    known: Known

    def work_out(self) -> object:
        return work_out(self.plan, self.inputs, self.known)

    def choice(self) -> Choice:
        """What the first block, the only one of these sessions, is chosen from."""
        person = Person(self.inputs, self.known.capacities, self.known.variations)
        return gather_block(self.plan, self.plan.doc.blocks[0], person, loadable(self.plan, self.inputs))

    def options(self) -> int:
        """Of all items of the block together."""
        return sum(len(listed) for listed in self.choice().candidates.values())


def week(report: Report, fleet: Fleet) -> None:
    """Publish it while the service runs, wait until all is prescribed; then the calculation in this process."""
    ground = make_week_ground(ATHLETES)
    wait_until_done(ground.org_id)
    worker, busy, began = group_usage(fleet.pid("worker")), busy_s(), time.monotonic()
    sessions = publish_week(ground)
    wait_until_done(ground.org_id)
    took = time.monotonic() - began
    used, worked = group_usage(fleet.pid("worker")), busy_s()
    made = _prescribed(ground, sessions)
    wanted = ATHLETES * len(ground.revisions)
    report.title(f"A week of {len(ground.revisions)} sessions, published for {ATHLETES} athletes at once")
    report.row("prescribed", f"{made} in {took:.1f} s, {made / took:.1f} a second")
    report.row(f"{WANTED}, so", f"{WANTED * took / made:.0f} s")
    if worker is not None and used is not None:
        report.row("worker", f"{1000.0 * (used.cpu_s - worker.cpu_s) / made:.1f} ms CPU a prescription")
    if busy is not None and worked is not None:
        report.row("whole machine", f"{1000.0 * (worked - busy) / made:.1f} ms CPU a prescription")
    report.limit("prescribed of what was published", made / wanted, 1.0, "", at_least=True)
    report.limit(f"{WANTED} prescriptions, end to end", WANTED * took / made, END_TO_END_S, "s")
    _calculation(report, ground)


def _prescribed(ground: WeekGround, sessions: Sequence[UUID]) -> int:
    with tenant_transaction(ground.org_id):
        return Prescription.objects.filter(session_id__in=sessions, number=1).count()


def _calculation(report: Report, ground: WeekGround) -> None:
    cases = cases_of(ground, CALCULATED)
    gc.collect()
    gc.freeze()  # as the workers do: what is imported is looked through no more
    report.title(f"The same, calculation alone, {len(cases)} of them (the quickest of {ROUNDS} runs)")
    mean = _told(report, "a prescription, CPU", cases)
    whole = WANTED * mean / min(CORES, os.cpu_count() or 1)
    report.row(f"{WANTED} on {CORES} cores, so", f"{whole:.0f} s")
    slow = _plainly(cases[0])
    report.row("  one written plainly in Python", f"{slow:.1f} s, {slow / mean:.0f} times as long")
    _told(report, "in a hall that has everything, CPU", in_kit(cases, RICH_KIT))
    report.limit(f"{WANTED} prescriptions, calculation alone", whole, CALCULATION_S, "s")


def _told(report: Report, name: str, cases: Sequence[Case]) -> float:
    """Say how long they take and from how much is chosen; the mean [s of CPU]."""
    for case in cases[: len(WEEK)]:  # compiles, and is not counted
        case.work_out()
    rounds = [[_cpu_s(case.work_out) for case in cases] for _ in range(ROUNDS)]
    quickest = [min(times) for times in zip(*rounds, strict=True)]
    mean: float = sum(quickest) / len(quickest)
    ms = [1000.0 * seconds for seconds in quickest]
    told = ", ".join(f"{point} {quantile(ms, q):.3g}" for point, q in (("p50", 0.5), ("p95", 0.95)))
    options = sum(case.options() for case in cases) / len(cases)
    report.row(
        name, f"mean {1000.0 * mean:.3g}, {told} ms; from {options:.1f} options a prescription on average"
    )
    return mean


def in_kit(cases: Sequence[Case], kit: dict[str, Any]) -> list[Case]:
    """The same athletes and sessions where there is this kit."""
    there = parse_kit(kit)
    return [replace(case, plan=replace(case.plan, kit=there)) for case in cases]


def cases_of(ground: WeekGround, athletes: int) -> list[Case]:
    """Of so many athletes, spread over the gyms, each with all sessions of the week."""
    ids = [athlete for gym in ground.gyms for athlete in gym.athletes]
    found = []
    for athlete_id in ids[:: max(1, len(ids) // athletes)][:athletes]:
        with tenant_transaction(ground.org_id):
            read = Desk(athlete_id, timezone.now()).read()
        if read is None:
            raise RuntimeError(f"nothing is open for {athlete_id}")
        for plan in read.plans:
            inputs = read.inputs[plan.local_date]
            states = states_at(plan, athlete_id, inputs.zone, read.capacities)
            found.append(Case(plan, inputs, read.ground.known(plan.session_id, states)))
    return found


def _plainly(case: Case) -> float:
    """Seconds of the plain version over the options of two items in turns, both of the amount of the first."""
    block, choice = case.plan.doc.blocks[0], case.choice()
    fresh = [[one.fresh[:SCENARIOS].tolist() for one in listed] for listed in choice.candidates.values()]
    amount, penalty_s = int(block.work[0].amount or 1), block.rules.break_rule.penalty_s
    multiplier = choice.multiplier[:SCENARIOS].tolist()
    return _cpu_s(lambda: plain_pacing(fresh, multiplier, amount, penalty_s))


def _cpu_s(call: Callable[[], object]) -> float:
    """Processor seconds, which other work on the machine lengthens less than the time on the clock."""
    began = time.process_time()
    call()
    return time.process_time() - began
