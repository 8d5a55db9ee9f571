"""The demo from start to end: the processes, the job, and what is printed of it."""

from __future__ import annotations

import datetime as dt
import signal
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from textwrap import wrap
from types import FrameType
from typing import Any

from services.demo import day as job
from services.demo import memory, tables
from services.demo.client import sign_in
from services.demo.day import Day, Sheet
from services.demo.documents import LOCATIONS, NEW_SESSION
from services.demo.errors import DemoError, expect
from services.demo.founding import move_in, read_catalogue
from services.demo.history import write_history
from services.demo.people import ATHLETES, MEMBERS, ORGANISATION
from services.demo.scene import Scene
from services.demo.sheet import WIDTH, Strip, footer, heading, strip_lines, version_name
from services.devstack.fleet import Fleet, service_commands
from services.devstack.processes import choose_port
from services.pipeline.founding import found_ready_organisation


def run(directory: Path, *, once: bool, out: Any) -> None:
    """Start the service, do the job, print it; then serve until a signal, unless `once`.

    Raises DemoError when something is not as it must be, StackError when a process fails.
    """
    kept = memory.remembered(directory)
    port = choose_port(None if kept is None else kept.port)
    fleet = Fleet(service_commands(port, beat_schedule=directory / "beat-schedule"), directory)
    printer = Printer(out)
    with _interruptible() as quiet:
        try:
            fleet.start()
            fleet.wait_ready()
            scene = Job(directory, port, printer).do(kept)
            printer.lines(_where_next_once() if once else _where_next(scene))
            if not once:
                printer.lines(["", "Serving. Ctrl-C ends it; the data stay for the next start."])
                fleet.wait()
        except KeyboardInterrupt:
            if once:
                raise DemoError("interrupted before the end") from None
        finally:
            quiet()
            fleet.stop()


@contextmanager
def _interruptible() -> Iterator[Any]:
    """SIGTERM and SIGHUP like Ctrl-C, until the yielded function makes all of them quiet."""

    def interrupt(number: int, frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    numbers = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    before = {number: signal.signal(number, interrupt) for number in numbers}

    def quiet() -> None:
        for number in numbers:
            signal.signal(number, signal.SIG_IGN)

    try:
        yield quiet
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


class Printer:
    """Lines for the person at the screen, at once."""

    def __init__(self, out: Any) -> None:
        self._out, self._began = out, time.monotonic()

    def lines(self, lines: Iterable[str]) -> None:
        for line in lines:
            self._out.write(line)
        self._out.flush()

    def step(self, text: str) -> None:
        self.lines([f"[{time.monotonic() - self._began:4.0f} s] {text}"])

    def title(self, text: str) -> None:
        self.lines(["", text.upper(), ""])


class Job:
    """The main job, step by step, each with what it must have led to."""

    def __init__(self, directory: Path, port: int, printer: Printer) -> None:
        self.directory, self.port, self.print = directory, port, printer
        self.password = memory.password(directory)

    def do(self, kept: memory.Memory | None) -> Scene:
        """All of it, or a look at what an earlier start has left."""
        if kept is not None:
            return self._again(kept)
        scene = self._found()
        day = self._write(scene)
        self._prescribe(scene, day)
        self._collect(scene, day)
        memory.remember(self.directory, memory.Memory(self.port, scene.organisation, day.sessions, day.later))
        return scene

    def _again(self, kept: memory.Memory) -> Scene:
        scene = Scene(self.port, kept.organisation, self.password, dt.datetime.now(dt.UTC))
        for member in MEMBERS:
            scene.apis[member.key] = sign_in(self.port, member.email, self.password).inside(kept.organisation)
        self.print.step("the data of an earlier start are used again (make clean removes them)")
        scene.locations = {row["name"]: row["id"] for row in scene.coach.every("/locations")}
        scene.athletes = {row["name"]: row["id"] for row in scene.coach.every("/athletes")}
        read_catalogue(scene)
        self._sheet(scene, kept.later, job.read_sheet(scene, kept.later))
        self._rankings(scene, Day(sessions=kept.sessions, later=kept.later))
        return scene

    def _found(self) -> Scene:
        owner = next(member for member in MEMBERS if member.role == "owner")
        org = found_ready_organisation(
            name=ORGANISATION, owner_email=owner.email, owner_name=owner.name, password=self.password
        )
        scene = Scene(self.port, str(org.id), self.password, dt.datetime.now(dt.UTC))
        move_in(scene)
        self.print.step(
            f"{ORGANISATION}: {len(scene.locations)} locations, {len(MEMBERS)} members, "
            f"{len(scene.athletes)} athletes, {len(scene.variations)} variations in the catalogue"
        )
        written = write_history(scene)
        waited = scene.settle()
        self.print.step(
            f"four weeks of history sent: {written.tests} tests, {written.results} results; "
            f"worked out {waited:.1f} s after the last one"
        )
        return scene

    def _write(self, scene: Scene) -> Day:
        day = job.write_and_place(scene)
        expect(bool(day.problems), "the contradiction in the draft is found")
        self.print.step(f'the coach\'s first draft of "{NEW_SESSION["title"]}" cannot hold together:')
        self.print.lines(f"         {one['pointer']}: {one['detail']}" for one in day.problems)
        self.print.step("put right, published, placed at three locations for tomorrow and three days later")
        return day

    def _prescribe(self, scene: Scene, day: Day) -> None:
        waited = scene.settle()
        sheet = job.read_sheet(scene, day.sessions)
        expect(sheet.keys() == {one.name for one in ATHLETES}, "every athlete has a prescription")
        feasible = sum(row["feasible"] for row in sheet.values())
        self.print.step(
            f"prescriptions for {len(sheet)} athletes, {waited:.1f} s later; {feasible} have a version"
        )
        self._sheet(scene, day.sessions, sheet)
        name = job.weigh_in(scene)
        scene.settle()
        row = job.read_sheet(scene, day.sessions)[name]
        expect(row["feasible"] and row["number"] == 2, f"{name} has a version after weighing in")
        versions = " and ".join(version_name(one) for one in row["content"]["work"])
        self.print.lines([""])
        self.print.step(f"{name} weighs in; prescription {row['number']}: {versions}")

    def _sheet(self, scene: Scene, sessions: dict[str, str], sheet: Sheet) -> None:
        for place in LOCATIONS:
            shown = scene.coach.get(f"/scheduled-sessions/{sessions[place['name']]}").body
            self.print.lines(["", *heading(shown["title"], place["name"], shown["local_date"], _aim_lines())])
            for person in ATHLETES:
                if person.place == place["name"] and person.name in sheet:
                    row = sheet[person.name]
                    mass = row["basis"]["body_mass_kg"]
                    facts = f"{person.sex[0]} {scene.now.year - person.born}" + (
                        f", {mass:g} kg" if mass else ""
                    )
                    strip = Strip(person.name, facts, row["content"], row["basis"]["p_all"])
                    self.print.lines(strip_lines(strip))
        self.print.lines(footer())

    def _collect(self, scene: Scene, day: Day) -> None:
        before = job.read_capacities(scene)
        job.begin(scene, day)
        scene.settle()
        sheet, coming = job.read_sheet(scene, day.sessions), job.read_sheet(scene, day.later)
        self.print.title("The session takes place")
        collected = job.collect(scene, day, sheet)
        waited = scene.settle()
        self.print.step(f"{collected.sent} results sent, ranked {waited:.1f} s after the last one")
        same = collected.again.replayed and collected.again.body == collected.first.body
        expect(same, "a result sent twice is answered with the stored one")
        self.print.step(f"{job.TWICE}'s telephone sends twice: one result is stored, the answer is replayed")
        self._review(scene, collected)
        was, is_now = job.correct(scene, collected.attempts[job.CORRECTED])
        job.send_late(scene, day, sheet)
        scene.settle()
        score = scene.coach.every("/attempts", session=day.sessions[_place_of(job.CORRECTED)], current="true")
        mine = next(row for row in score if row["athlete"] == scene.athletes[job.CORRECTED])
        expect(mine["replaces"] is not None, "the correction counts")
        self.print.step(
            f"{job.CORRECTED}'s clock is corrected from {was:.0f} to {is_now:.0f} s; the first version stays"
        )
        self.print.step(f"{job.LATE}'s result comes late and is ranked with the others")
        rankings = self._rankings(scene, day)
        names = {row["name"] for ranking in rankings.values() for row in ranking["official"]}
        expect(names == {name for name, row in sheet.items() if row["feasible"]}, "every result is ranked")
        self._learned(scene, day, before, coming)

    def _review(self, scene: Scene, collected: job.Collected) -> None:
        reviews = scene.coach.every("/reviews", open="true")
        mine = [row for row in reviews if row["attempt"] == collected.attempts[job.UNLIKELY]]
        expect(len(mine) == 1, f"{job.UNLIKELY}'s result waits for a review")
        told = "; ".join(finding["detail"] for finding in mine[0]["findings"])
        self.print.step(f"{job.UNLIKELY}'s result does not add up and waits for a person: {told}")

    def _rankings(self, scene: Scene, day: Day) -> dict[str, Any]:
        rankings = job.read_rankings(scene, day)
        self.print.title("Rankings")
        for place, ranking in rankings.items():
            self.print.lines(tables.ranking_lines(place, ranking))
        self.print.lines(wrap(next(iter(rankings.values()))["by_forecast"]["note"], WIDTH))
        return rankings

    def _learned(self, scene: Scene, day: Day, before: job.Figures, coming: Sheet) -> None:
        after = job.read_capacities(scene)
        expect(before != after, "results change capacities")
        self.print.title(
            "What the results have taught: repetitions to failure (10–50–90 %), and how many sets told of it"
        )
        self.print.lines(tables.capacity_lines(job.HANDFUL, list(job.WRITTEN), before, after))
        now = job.read_sheet(scene, day.later)
        issued = [name for name, row in now.items() if row["number"] > coming[name]["number"]]
        expect(bool(issued), "results re-issue coming prescriptions")
        changed = [name for name in issued if _versions(now[name]) != _versions(coming[name])]
        self.print.lines(["", f"Of {len(now)} prescriptions for the next time {len(issued)} were issued again, "
                          f"{len(changed)} with another version:"])  # fmt: skip
        self.print.lines(
            f"  {name:<17}{_versions(coming[name])}  →  {_versions(now[name])}" for name in changed[:8]
        )


def _versions(row: Any) -> str:
    return ", ".join(version_name(one) for one in row["content"]["work"]) or "none"


def _place_of(name: str) -> str:
    return next(person.place for person in ATHLETES if person.name == name)


def _aim_lines() -> list[str]:
    block = NEW_SESSION["blocks"][0]
    first, second = block["work"]
    windows = {one["work"]: one for one in block["aim"]["conditions"] if "work" in one}
    limit = next(one for one in block["aim"]["conditions"] if one["kind"] == "time")
    fresh = [f"{windows[item['key']]['lower']}–{windows[item['key']]['upper']}" for item in (first, second)]
    rules = block["rules"]
    return [
        f"{first['repetitions']} push-ups and {second['repetitions']} squats against the clock, change over at "
        f"each break, {rules['break']['penalty_s']} s for each; cap {rules['end']['cap_s'] / 60:.0f} min",
        f"aim: fresh {fresh[0]} push-ups and {fresh[1]} squats of one's own version, score between "
        f"{limit['lower'] // 60} and {limit['upper'] // 60} min",
    ]


def _where_next_once() -> list[str]:
    return [
        "",
        "WHERE TO LOOK NEXT",
        "",
        "  make demo keeps all of this running, and prints where, with everybody's sign-in",
        "  README.md does the same job by hand; services/api/openapi.yaml describes the interface",
    ]


def _where_next(scene: Scene) -> list[str]:
    base = f"http://127.0.0.1:{scene.port}"
    rows = [f"  {member.role:<16}{member.email:<32}{member.place or ''}".rstrip() for member in MEMBERS]
    return [
        "",
        "WHERE TO LOOK NEXT",
        "",
        f"  interface, to read and try   {base}/api/v1/docs",
        f"  its description              {base}/api/v1/openapi.yaml",
        f"  organisation                 {scene.organisation}",
        f"  sign in (POST {base}/api/v1/sign-in), everybody with the password {scene.password}",
        *rows,
    ]
