"""What six weeks have come to, a line each, and on which page it stands. Read through the interface."""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import wrap
from typing import Any, Final

from services.demo.errors import expect
from services.demo.felt import WORN
from services.demo.scene import Scene
from services.demo.sheet import WIDTH
from services.demo.sheet_words import LABELS
from services.demo.tests_taken import RECORD
from services.demo.weeks import FORM, GROUP

LABEL: Final = 14


def weeks_lines(scene: Scene) -> list[str]:
    """Of load, wellness, progression and balance. Raises DemoError where one of them has nothing to tell."""
    told = (
        ("load", _load(scene), f"Athletes, {WORN}, Load"),
        ("wellness", _wellness(scene), f"Athletes, {WORN}, Wellness"),
        ("progression", _progression(scene), f"Athletes, {RECORD}, Progression"),
        ("balance", _balance(scene), f"Balance, {GROUP}"),
    )
    return [line for label, text, page in told for line in _lines(label, f"{text} Page: {page}.")]


def _lines(label: str, text: str) -> list[str]:
    first, *more = wrap(text, WIDTH - LABEL - 2)
    return [f"  {label:<{LABEL}}{first}", *(f"  {'':<{LABEL}}{line}" for line in more)]


def _load(scene: Scene) -> str:
    """Of the last week that is over."""
    days = scene.coach.every(f"/athletes/{scene.athletes[WORN]}/load-days")
    until = max(day["local_date"] for day in days if day["local_date"] < scene.now.date().isoformat())
    told = scene.coach.get(f"/athletes/{scene.athletes[WORN]}/load-summary", on=until).body
    week, change = told["week"], told["change"]["value"]
    expect(
        week["reported_days"] == 7 and change is not None, f"all days of {WORN}'s two last weeks are known"
    )
    more = f"{100 * change:.0f} % {'more' if change > 0 else 'less'} than the week before".replace("-", "")
    return (
        f"{WORN}, seven days up to {until}: {week['load_au']['value']:.0f} AU (effort times minutes), {more}."
    )


def _wellness(scene: Scene) -> str:
    told = scene.coach.get(f"/athletes/{scene.athletes[WORN]}/wellness", form=FORM["key"]).body
    bad = [one for one in told["items"] if one["unusually_bad"]]
    expect(bool(bad), f"{WORN}'s answers of late are unusual of {WORN}")
    most = max(bad, key=_off)
    base = most["baseline"]
    return (
        f"in {len(bad)} of {len(told['items'])} questions {WORN}'s answers are unusual of {WORN}, towards the "
        f'worse end: "{most["text"]}" {base["weighted"]:.1f} of late, as a rule {base["lower"]:.1f} to '
        f"{base['upper']:.1f}."
    )


def _off(one: Mapping[str, Any]) -> float:
    """How far the answers lie from their middle, in widths of what is usual."""
    base = one["baseline"]
    return abs(float(base["weighted"] - base["centre"])) / float(base["upper"] - base["lower"])


def _progression(scene: Scene) -> str:
    """The best that was bettered last, and how far what stands behind it has changed."""
    told = scene.coach.get(f"/athletes/{scene.athletes[RECORD]}/progression").body
    found = [
        (best["done"]["local_date"], movement, best)
        for movement in told["movements"]
        for best in movement["bests"]
        if best["before"] is not None and best["by"] == "repetitions" and movement["change"] is not None
    ]
    expect(bool(found), f"{RECORD} has bettered a best")
    day, movement, best = max(found, key=lambda one: one[0])
    name = LABELS.get(best["variation_key"], movement["movement_key"].replace("_", " "))
    change = movement["change"]
    by = change["percent"]
    return (
        f"{RECORD}'s best in {_under(name, best)} is {best['done']['amount']:.0f} repetitions on {day}, before "
        f"{best['before']['amount']:.0f}; since {change['counted_from']} the load for the same work has changed by "
        f"{by['median']:+.1f} % ({by['lower']:+.1f} to {by['upper']:+.1f})."
    )


def _under(name: str, best: Mapping[str, Any]) -> str:
    load, height = best["done"]["added_kg"], best["height_cm"]
    return name + (f" {load:g} kg" if load else "") + (f" at {height:g} cm" if height else "")


def _balance(scene: Scene) -> str:
    (group,) = (one["id"] for one in scene.coach.every("/groups") if one["name"] == GROUP)
    told = scene.coach.get(f"/groups/{group}/balance").body
    lines = [one for one in told["sets_by_quality"] if one["ahead"] is not None and one["target_share"]]
    expect(bool(lines), f"shares of {GROUP} can be held against those that are wanted")
    line = max(lines, key=lambda one: abs(one["ahead"]))
    name = line["name"].replace("_", " ")
    return (
        f"{GROUP}, {told['athletes']} athletes in four weeks: {name} has {100 * line['done_share']:.0f} % of the "
        f"hard sets; the coach wants {100 * line['target_share']:.0f} %."
    )
