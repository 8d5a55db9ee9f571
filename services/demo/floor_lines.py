"""What happens between the sheet and the session, and what is printed of it."""

from __future__ import annotations

from typing import Any

from services.demo import day as work
from services.demo import floor
from services.demo.day import Sheet
from services.demo.errors import expect
from services.demo.printer import Printer
from services.demo.scene import Scene
from services.demo.sheet import own_version, version_name
from services.demo.writing import Day


def print_floor(scene: Scene, day: Day, sheet: Sheet, printer: Printer) -> None:
    """Everybody's news is sent, then worked out once, then told."""
    printer.title("Before the class")
    floor.weigh_in(scene)
    absence = floor.confirm_absence(scene)
    floor.release(scene)
    checked = floor.check_set(scene, sheet[floor.CHECKED])
    override = floor.override(scene, sheet[floor.OVERRIDDEN])
    waited = scene.settle()
    now = work.read_sheet(scene, day.sessions)
    printer.step(f"news of five athletes are sent; their prescriptions are issued again {waited:.1f} s later")
    _weighed(now, printer)
    _released(now, printer)
    _back(sheet, now, absence, printer)
    _checked(sheet, now, checked, printer)
    _overridden(now, override, printer)


def _weighed(now: Sheet, printer: Printer) -> None:
    name = floor.UNWEIGHED
    expect(now[name]["feasible"], f"{name} has a version after weighing in")
    printer.step(f"{name} weighs in: {own_version(now[name]['content'])}")


def _released(now: Sheet, printer: Printer) -> None:
    name = floor.SCREENED
    expect(now[name]["content"]["hold"] is None, f"{name} is not held any more")
    printer.step(
        f'{name} is released by the coach: "{floor.RELEASE_REASON}" Prescribed now: '
        f"{own_version(now[name]['content'])}"
    )


def _back(was: Sheet, now: Sheet, absence: floor.Row, printer: Printer) -> None:
    """The version of a return: at most half of what was done before, and nothing to failure."""
    name = floor.AWAY
    before, after = was[name]["content"], now[name]["content"]
    expect(before["hold"] is not None, f"{name} is held until somebody has asked")
    expect(before["hold"]["code"] == "absence_unconfirmed", f"{name} is held for the silence")
    expect(after["safety"]["returning_week"] == 1, f"{name} is in the first week of a return")
    expect(not after["safety"]["to_failure"], f"nothing is planned to failure for {name}")
    peak = max(one["repetitions"] for one in absence["peak_volumes"])
    most = max((one["repetitions"] for one in after["work"]), default=0)
    expect(
        after["feasible"] and most <= peak / 2,
        f"{name} gets half of {peak:g} at most, not {most}: {after['reasons']} {after['closest']}",
    )
    printer.step(
        f"{name} was silent from {absence['from_date']} on; asked, says: away. First week back, "
        f"{after['safety']['volume_share']:.0%} of the former volume, nothing to failure: {own_version(after)}"
    )


def _checked(was: Sheet, now: Sheet, checked: floor.Checked, printer: Printer) -> None:
    name = floor.CHECKED
    before, after = own_version(was[name]["content"]), own_version(now[name]["content"])
    done = f"{checked.sent['repetitions']} with {checked.sent['rir']} left"
    expect(bool(was[name]["content"]["check_sets"]), f"{name} is asked for a check set")
    expect(not now[name]["content"]["check_sets"], f"the check set ({done}) settles {name}'s version")
    step = checked.next
    option = f" ({version_name(step['option'])})" if step["option"] else ""
    printer.step(
        f"{name}'s check set: {done}. At once: {step['text']}{option} "
        f"Worked out: {f'{before} → {after}' if before != after else f'still {after}'}, without a check set"
    )


def _overridden(now: Sheet, override: floor.Override, printer: Printer) -> None:
    name = floor.OVERRIDDEN
    content: dict[str, Any] = now[name]["content"]
    told = content["overridden_by"]
    expect(told is not None and told["reason"] == floor.OVERRIDE_REASON, f"{name} follows the override")
    expect(told["acknowledged"] == override.codes, "what speaks against it is stored with it")
    cost = "; ".join(
        f"{one['kind'].replace('_', ' ')} {100 * one['with_override']:.0f} %"
        for one in override.made["cost"]
        if one["with_override"] is not None
    )
    printer.step(
        f"{name} had no version; the coach gives one: {own_version(content)}.",
        f"Refused first: {override.asked_for} Stored with {', '.join(override.codes)} acknowledged and "
        f'the reason: "{floor.OVERRIDE_REASON}" Chance of the aim with it: {cost}.',
    )
