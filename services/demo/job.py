"""The main job, step by step, each with what it must have led to, and what is printed of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from textwrap import wrap
from typing import Any

from services.demo import day as work
from services.demo import floor, memory, tables, writing
from services.demo.client import sign_in
from services.demo.day import Sheet
from services.demo.describe import session_lines
from services.demo.documents import BALLAST, HEADWIND, LOCATIONS, NEW_SESSION
from services.demo.errors import expect
from services.demo.floor_lines import print_floor
from services.demo.founding import move_in, read_catalogue
from services.demo.history import write_history
from services.demo.people import ATHLETES, MEMBERS, MILL, ORGANISATION, QUAY
from services.demo.printer import Printer
from services.demo.scene import Scene
from services.demo.sheet import WIDTH, Strip, footer, heading, own_version, strip_lines
from services.demo.weeks import write_weeks
from services.demo.weeks_told import weeks_lines
from services.demo.writing import Day
from services.pipeline.founding import found_ready_organisation

MOST_CHANGED = 8


class Job:
    """The demo's story; raises DemoError where something is not as it says."""

    def __init__(self, directory: Path, port: int, printer: Printer) -> None:
        self.directory, self.port, self.print = directory, port, printer
        self.password = memory.password(directory)

    def do(self, kept: memory.Memory | None) -> Scene:
        """All of it, or a look at what an earlier start has left."""
        if kept is not None:
            return self._again(kept)
        scene = self._found()
        day = self._write(scene)
        sheet = self._prescribe(scene, day)
        print_floor(scene, day, sheet, self.print)
        self._collect(scene, day)
        self._weeks(scene)
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
        for session in kept.later.values():
            self._sheet(scene, session, work.read_sheet(scene, {"": session}))
        self.print.lines(footer())
        self._rankings(scene, Day(sessions=kept.sessions, later=kept.later))
        self._weeks(scene)
        return scene

    def _weeks(self, scene: Scene) -> None:
        self.print.title("Over the weeks")
        self.print.lines(weeks_lines(scene))

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
        beside = write_weeks(scene, written.days)
        self.print.step(
            f"six weeks sent: {written.tests} tests, {written.results} results, {beside.trained} times trained "
            f"beside the programme, {beside.rested} days of rest, {beside.answered} times how somebody is"
        )
        return scene

    def _write(self, scene: Scene) -> Day:
        self.print.title("The coach writes")
        drafted = writing.draft(scene)
        self.print.step(
            f'the first draft of "{NEW_SESSION["title"]}" cannot hold together:',
            *(f"{one['pointer']}: {one['detail']}" for one in drafted.problems),
        )
        self.print.step("the second one allows full push-ups only; who reaches its aim?", *drafted.narrow)
        self.print.step("the third one allows all of the ladder:", *drafted.mended)
        revision = scene.coach.post(
            f"/templates/{drafted.template}/revisions", {"version": drafted.version}
        ).body["id"]
        changes = writing.own_version_of_the_mill(scene, revision)
        expect(len(changes) == 2, f"two things differ at {MILL}, not {changes}")
        self.print.step(f'published; {MILL} makes a version of its own ("{writing.MILL_REASON}"):', *changes)
        day = writing.place_all(scene, revision)
        self.print.step(
            f'"{HEADWIND["title"]}" for {QUAY} and "{BALLAST["title"]}" for {MILL} are written too; all are '
            f"placed, from tomorrow on"
        )
        copied = writing.copy_forward(scene, day)
        self.print.step(
            f"{MILL}'s week is copied to that of {copied.to_week}: {len(copied.outcomes)} sessions made; "
            f"copied once more: {len(copied.again)} were there already"
        )
        floor.screen(scene)
        return day

    def _prescribe(self, scene: Scene, day: Day) -> Sheet:
        waited = scene.settle()
        sheet = work.read_sheet(scene, day.sessions)
        expect(sheet.keys() == {one.name for one in ATHLETES}, "every athlete has a prescription")
        feasible = sum(row["feasible"] for row in sheet.values())
        self.print.step(
            f"prescriptions for {len(sheet)} athletes, {waited:.1f} s later; {feasible} have a version"
        )
        for place in LOCATIONS:
            self._sheet(scene, day.sessions[place["name"]], sheet)
        self._sheet(scene, day.lifting, work.read_sheet(scene, {MILL: day.lifting}))
        self.print.lines(footer())
        stops = {one["by"] for row in sheet.values() for one in row["content"]["stopped_by"]}
        expect(
            {"breathing", "local_muscle"} <= stops, f"some are stopped by breath, some by muscle, not {stops}"
        )
        return sheet

    def _sheet(self, scene: Scene, session: str, sheet: Sheet) -> None:
        shown, document = writing.document_of(scene, session)
        place = next(name for name, id_ in scene.locations.items() if id_ == shown["location"])
        about = session_lines(document, WIDTH - 2)
        self.print.lines(["", *heading(shown["title"], place, shown["local_date"], about)])
        for person in ATHLETES:
            if person.place == place and person.name in sheet:
                row = sheet[person.name]
                mass = row["basis"]["body_mass_kg"]
                facts = f"{person.sex[0]} {scene.now.year - person.born}" + (f", {mass:g} kg" if mass else "")
                self.print.lines(strip_lines(Strip(person.name, facts, row["content"], row["basis"])))

    def _collect(self, scene: Scene, day: Day) -> None:
        before = work.read_capacities(scene)
        work.begin(scene, day)
        scene.settle()
        sheet, coming = work.read_sheet(scene, day.sessions), work.read_sheet(scene, day.later)
        lifting = work.read_sheet(scene, {MILL: day.lifting})
        self.print.title("The sessions take place")
        collected = work.collect(scene, day, sheet)
        short = work.send_as_prescribed(scene, day, lifting[work.AS_PRESCRIBED])
        waited = scene.settle()
        self.print.step(f"{collected.sent} results sent, ranked {waited:.1f} s after the last one")
        same = collected.again.replayed and collected.again.body == collected.first.body
        expect(same, "a result sent twice is answered with the stored one")
        self.print.step(f"{work.TWICE}'s telephone sends twice: one result is stored, the answer is replayed")
        self._short(scene, short)
        self._review(scene, collected)
        self._late(scene, day, sheet, collected)
        self._reports(scene)
        scene.settle()
        rankings = self._rankings(scene, day)
        names = {row["name"] for ranking in rankings.values() for row in ranking["official"]}
        expect(names == {name for name, row in sheet.items() if row["feasible"]}, "every result is ranked")
        self._learned(scene, day, before, coming)

    def _short(self, scene: Scene, sent: Mapping[str, Any]) -> None:
        (score,) = scene.coach.get(f"/attempts/{sent['id']}").body["scores"]
        done = ", ".join(f"{one['work']} {one['amount']:g}" for one in score["amounts"])
        expect(score["repetitions"] == 40, f"all lifts of {work.AS_PRESCRIBED} are stored, not {done}")
        self.print.step(
            f'{work.AS_PRESCRIBED} sends "{BALLAST["title"]}" in one request: as prescribed, effort 7; '
            f"{score['repetitions']} lifts are stored with their loads"
        )

    def _review(self, scene: Scene, collected: work.Collected) -> None:
        reviews = scene.coach.every("/reviews", open="true")
        mine = [row for row in reviews if row["attempt"] == collected.attempts[work.UNLIKELY]]
        expect(len(mine) == 1, f"{work.UNLIKELY}'s result waits for a review")
        told = "; ".join(finding["detail"] for finding in mine[0]["findings"])
        self.print.step(f"{work.UNLIKELY}'s result does not add up and waits for a person: {told}")

    def _late(self, scene: Scene, day: Day, sheet: Sheet, collected: work.Collected) -> None:
        was, is_now = work.correct(scene, collected.attempts[work.CORRECTED])
        work.send_late(scene, day, sheet)
        place = floor.person_of(work.CORRECTED).place
        rows = scene.coach.every("/attempts", session=day.sessions[place], current="true")
        mine = next(row for row in rows if row["athlete"] == scene.athletes[work.CORRECTED])
        expect(mine["replaces"] is not None, "the correction counts")
        self.print.step(
            f"{work.CORRECTED}'s clock is corrected from {was:.0f} to {is_now:.0f} s; the first version stays"
        )
        self.print.step(f"{work.LATE}'s result comes late and is ranked with the others")

    def _reports(self, scene: Scene) -> None:
        pain = floor.report_pain(scene)
        self.print.step(
            f"{floor.PAINED} reports pain: {pain['side']} {pain['site']}, {pain['severity']} of 10, during "
            f"{pain['during']}; for {pain['recipient']['name']} to look at",
            *pain["advice"],
        )
        told, seen = floor.report_red_flag(scene)
        self.print.step(
            f"{floor.FLAGGED} reports {told['sign'].replace('_', ' ')}, and is told at once:",
            told["emergency"]["text"],
            *told["advice"][:1],
        )
        expect(seen["acknowledged_at"] is not None, "the report is acknowledged")
        self.print.step(f'{seen["recipient"]["name"]} acknowledges: "{seen["acknowledgement"]}"')

    def _rankings(self, scene: Scene, day: Day) -> dict[str, Any]:
        rankings = work.read_rankings(scene, day)
        self.print.title("Rankings")
        for place, ranking in rankings.items():
            title = scene.coach.get(f"/scheduled-sessions/{day.sessions[place]}").body["title"]
            self.print.lines(tables.ranking_lines(f"{title}, {place}", ranking))
        told = [next(iter(rankings.values()))["by_forecast"]["note"], *tables.notes_told(rankings.values())]
        self.print.lines([line for text in told for line in wrap(text, WIDTH)])
        return rankings

    def _learned(self, scene: Scene, day: Day, before: work.Figures, coming: Sheet) -> None:
        after = work.read_capacities(scene)
        expect(before != after, "results change capacities")
        self.print.title(
            "What the results have taught: repetitions to failure (10–50–90 %), and how many sets told of it"
        )
        self.print.lines(tables.capacity_lines(work.HANDFUL, list(work.WRITTEN), before, after))
        now = work.read_sheet(scene, day.later)
        issued = [name for name, row in now.items() if row["number"] > coming[name]["number"]]
        expect(bool(issued), "results re-issue coming prescriptions")
        told = {
            name: (own_version(coming[name]["content"]), own_version(now[name]["content"])) for name in issued
        }
        changed = [name for name in issued if told[name][0] != told[name][1]]
        self.print.lines(
            ["", f"Of {len(now)} prescriptions for the next time {len(issued)} were issued again, "
             f"{len(changed)} with another version:"]
        )  # fmt: skip
        for name in changed[:MOST_CHANGED]:
            self.print.lines([f"  {name:<17}{told[name][0]}", f"  {'':<15}→ {told[name][1]}"])
        held = now[floor.FLAGGED]["content"]["hold"]
        expect(
            held is not None and held["code"] == "red_flag", f"{floor.FLAGGED} is held after the warning sign"
        )
        self.print.lines(wrap(f"{floor.FLAGGED} is on hold until released by {held['released_by']}.", WIDTH))
