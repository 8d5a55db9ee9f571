"""The sheet and the tables that the demo prints: widths, columns, and nothing left out without a word."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from athletes.safety import CODES
from athletes.safety_words import RELEASED_BY, SAFE_ALTERNATIVES
from scoring.calc.prescription import ALTERNATIVES
from services.demo.sheet import (
    SAFETY,
    WIDTH,
    Strip,
    clock,
    footer,
    heading,
    own_version,
    strip_lines,
    version_name,
)
from services.demo.sheet_words import HOLDS
from services.demo.tables import capacity_lines, ranking_lines


def option(variation: str, **fields: Any) -> dict[str, Any]:
    plain = {"variation_name": "A very long name of a variation", "load_kg": None, "assistance_kg": None}
    told = {"variation": variation, **plain, "height_cm": None, **fields}
    load_kg = told["load_kg"]
    return {"load_text": None if load_kg is None else f"{load_kg:g} kg", **told}


def work(key: str, variation: str, **fields: Any) -> dict[str, Any]:
    plain = {"movement": "push_up" if key == "a" else "squat", "repetitions": 50, "amount_as_written": True}
    return {"work": key, "as_written": False, **plain, **option(variation, **fields)}


CONTENT: dict[str, Any] = {
    "feasible": True,
    "work": [
        work("a", "push_up_hands_raised", height_cm=45),
        work("b", "goblet_squat", load_kg=22.5, as_written=True),
    ],
    "plan": [
        {"work": key, "repetitions": count, "rest_before_s": 0} for count in (13, 11, 9) for key in ("a", "b")
    ],
    "expected": {
        "score": {"p10": 440, "p50": 540, "p90": None},
        "unit": "s",
        "first_set": {"a": {"p10": 15, "p50": 18, "p90": 21}, "b": {"p10": 125, "p50": 130, "p90": 137}},
    },
    "stopped_by": [{"by": "local_muscle", "work": "a"}],
    "check_sets": [],
    "closest": [],
    "hold": None,
    "reasons": [],
    "alternatives": [],
    "ruled_out": [],
}
CHECK = {
    "work": "a",
    **option("push_up_hands_raised", height_cm=45),
    "stop_at": 8,
    "reserve_at_least": 2,
    "reserve_at_most": 12,
    "able_at_least": 10,
    "able_at_most": 20,
    "if_easier_needed": option("push_up_hands_raised", height_cm=60),
    "if_harder_possible": option("push_up_feet_raised", height_cm=60),
}


BASIS: dict[str, Any] = {"p_all": 0.784, "capacities": {}}


def lines(basis: dict[str, Any] = BASIS, **changes: Any) -> list[str]:
    content = {**copy.deepcopy(CONTENT), **changes}
    return strip_lines(Strip("Abena Quartey", "f 35, 63 kg", content, basis))


def refused(code: str, **changes: Any) -> list[str]:
    return lines(feasible=False, work=[], reasons=[{"code": code, "work": "a"}], **changes)


def test_a_strip_has_columns() -> None:
    """Name, version, sets, fresh repetitions and score each start where the heading says."""
    head = heading("Title", "Old Mill", "2030-01-01", ["what it is"])[-3]
    first, second = lines()
    assert first.startswith("Abena Quartey")
    assert second.startswith("  f 35, 63 kg")
    assert first[head.index("version") :].startswith("push-up, hands at 45 cm")
    assert second[head.index("version") - 1 :].startswith("=kettlebell squat 22.5 kg")
    assert first[head.index("sets") :].startswith("13 11 9 ")
    assert first[head.index("fresh") :].startswith("15–18–21")
    assert first[head.index("score") :] == "7:20 – 9:00 –   –"
    assert second[head.index("score") :] == " 78 %  muscle: push-up"


@pytest.mark.parametrize(
    ("stop", "words"),
    [
        ({"by": "breathing", "work": None}, "breathing"),
        ({"by": "strength", "work": "b"}, "strength: squat"),
        ({"by": "unknown", "work": "b"}, "squat ?"),
        ({"by": "unknown", "work": None}, ""),
    ],
)
def test_what_stops_is_named_or_left_open(stop: dict[str, Any], words: str) -> None:
    """Breath has no work item; what nobody can tell has a question mark, never a guess."""
    assert lines(stopped_by=[stop])[1].partition(" %")[2].strip() == words


def test_a_long_version_keeps_its_gap() -> None:
    """It takes of the column beside it."""
    long = work("a", "push_up_vest", load_kg=5.0, variation_name="Push-up, its load in a vest")
    long |= {"load_text": "vest of 5 kg"}
    content = {**CONTENT, "work": [long, CONTENT["work"][1]]}
    line = strip_lines(Strip("Nia Moor", "f 60 kg", content, BASIS))[0]
    assert "kg 13 11 9" in line and "9 15–18–21" in " ".join(line.split())


def test_machines_show_the_power_that_lasts() -> None:
    """A work item without a first set shows what its capacity is, in its own measure."""
    known = {"critical": {"median": 187.4}, "measure": "power"}
    expected = {**CONTENT["expected"], "first_set": {"b": {"p10": 12.0, "p50": 15.0, "p90": 18.0}}}
    shown = lines({"p_all": None, "capacities": {"a": known}}, expected=expected)
    assert "187 W " in shown[0]
    assert "12–15–18 " in shown[1]
    assert "–  muscle" in shown[1]


def test_own_amounts_are_told() -> None:
    """Fewer than written stands before the version, there and in one line; and it is not as written."""
    own = [work("a", "push_up_floor", repetitions=20, as_written=True, amount_as_written=False)]
    assert " 20× push-up " in lines(work=own)[0]
    assert own_version({"work": own}) == "20× push-up"
    assert own_version({"work": []}) == "none"


def test_work_that_is_not_scored_says_so() -> None:
    """And a score in another unit is told in it."""
    nothing = {**CONTENT["expected"], "unit": None}
    metres = {**CONTENT["expected"], "unit": "m", "score": {"p10": 900, "p50": 950, "p90": 990}}
    assert lines(expected=nothing)[0].endswith("not scored")
    assert lines(expected=metres)[0].endswith("900 – 950 – 990 m")


@pytest.mark.parametrize("code", CODES)
def test_a_hold_tells_the_alternative_and_who_releases(code: str) -> None:
    """The whole text of both, for every hold that there is."""
    hold = {
        "code": code,
        "safe_alternative": SAFE_ALTERNATIVES[code],  # type: ignore[index]
        "released_by": RELEASED_BY[code],  # type: ignore[index]
    }
    shown = lines(feasible=False, work=[], hold=hold, reasons=[{"code": f"hold:{code}", "work": None}])
    told = " ".join(line[16:] for line in shown)
    assert f"– on hold: {HOLDS[code]}" in told
    assert hold["safe_alternative"] in told
    assert f"released by {hold['released_by']}" in told
    assert shown[1].startswith("  f 35, 63 kg ")
    assert max(map(len, shown)) <= WIDTH


@pytest.mark.parametrize(
    "shown",
    [
        lines(),
        lines(plan=[{"work": "a", "repetitions": 100, "rest_before_s": 0}] * 30),
        lines(expected={**CONTENT["expected"], "score": {"p10": 1190, "p50": 1620, "p90": 3599}}),
        lines(stopped_by=[{"by": "local_muscle", "work": "a"}]),
        lines(check_sets=[CHECK, CHECK]),
        refused("too_easy_at_hardest", alternatives=["choose_harder_movement_or_more_repetitions"]),
        refused("between_options", closest=[work("a", "push_up_hands_raised", height_cm=45)] * 4),
        heading("Title", "Old Mill", "2030-01-01", []),
        footer(),
    ],
)
def test_nothing_is_wider_than_the_paper(shown: list[str]) -> None:
    """Every line fits."""
    assert max(map(len, shown)) <= WIDTH


def plan(*amounts: int) -> list[dict[str, Any]]:
    return [{"work": "a", "repetitions": amount, "rest_before_s": 0} for amount in amounts]


def test_many_sets_end_in_dots() -> None:
    """What does not fit the column is not cut without a sign; equal sets in a row are one."""
    first = lines(plan=plan(12, 11, 10, 9, 8, 7, 6, 5, 4))[0]
    assert " 12 11 10 9 8 … " in first
    assert " 12×5 " in lines(plan=plan(*[5] * 12))[0]
    assert " 4×5 3 2 " in lines(plan=plan(5, 5, 5, 5, 3, 2))[0]


def test_a_check_set_replaces_the_plan() -> None:
    """Where a check set must come first no number of repetitions is given for the first set."""
    shown = lines(check_sets=[CHECK])
    assert "after check set" in shown[0]
    assert "13" not in shown[0].replace("130", "")
    told = " ".join(line.strip() for line in shown[2:])
    assert told == (
        "check first: push-up, hands at 45 cm, stop at 8 or with 2 left; "
        "under 10 in all: about push-up, hands at 60 cm; over 20 in all: about push-up, feet at 60 cm"
    )


def test_of_a_single_one_nobody_stops_earlier() -> None:
    """What was left of it tells."""
    told = " ".join(
        line.strip() for line in lines(check_sets=[{**CHECK, "stop_at": 1, "reserve_at_least": 9}])[2:]
    )
    assert "do one and tell how many were left;" in told and "with 9 left" not in told


@pytest.mark.parametrize(
    ("ruled_out", "words"),
    [
        ([{"work": "a", "variation": "x", "reason": "limit:shoulder"}], "limit in force (shoulder)"),
        ([{"work": "a", "variation": "x", "reason": "equipment_missing"}], "equipment missing"),
        (
            [{"work": "a", "variation": "x", "reason": "body_mass_missing"}],
            "no body mass on record; weigh in first",
        ),
    ],
)
def test_why_there_is_no_version(ruled_out: list[dict[str, str]], words: str) -> None:
    """The reason stands on the sheet, with what to offer instead."""
    weigh = ruled_out[0]["reason"] == "body_mass_missing"
    offer = "record_body_mass" if weigh else "choose_movement_for_this_equipment"
    shown = refused("no_options", ruled_out=ruled_out, alternatives=[offer])
    assert words in shown[0]
    assert shown[1].startswith("  f 35, 63 kg")


def test_the_sheet_has_words_for_every_reason_and_offer() -> None:
    """A refusal of any kind can be printed."""
    for code, offer in ALTERNATIVES.items():
        if code != "no_options":
            assert "no version fits" in refused(code, alternatives=[offer])[0]


def test_the_footer_speaks_of_safety() -> None:
    """Stop signs, the physician, and that the sheet replaces neither physician nor house rules."""
    told = " ".join(footer())
    assert all(line in told for line in SAFETY)
    for word in ("Stop at pain", "physician", "rules of the gym"):
        assert word in told


def test_names_of_versions() -> None:
    """A version is named with what is set; an unknown one by the catalogue's name."""
    assert version_name(option("body_weight_squat", load_kg=10.0)) == "squat 10 kg"
    pair = option("overhead_press_dumbbells", load_kg=32.0, load_text="2 × 16 kg")
    assert version_name(pair) == "dumbbell press 2 × 16 kg"
    assert version_name(option("of_ones_own", assistance_kg=7.5)) == "A very long name of a variation −7.5 kg"
    assert clock(59) == "0:59"
    assert clock(3661) == "61:01"


def official(rank: int | None, division: str, **fields: Any) -> dict[str, Any]:
    row = {"rank": rank, "division": division, "name": "Oluwaseun Marchetti", "score_s": 615.0, "breaks": 12}
    return {**row, "repetitions": 130, "under_review": False, **fields}


def test_rankings_side_by_side() -> None:
    """Divisions on the left, forecasts on the right; who is under review or unranked is still shown."""
    ranking = {
        "official": [
            official(1, "as_written"),
            official(1, "own_version", under_review=True),
            official(None, "own_version", score_s=None, breaks=None, repetitions=99),
        ],
        "by_forecast": {
            "rows": [
                {"rank": 1, "name": "Abena Quartey", "quantile": 0.25, "notes": []},
                {"rank": None, "name": "Jin Aratani", "quantile": None, "notes": ["history_too_short"]},
            ]
        },
    }
    shown = ranking_lines("Old Mill", ranking)
    assert max(map(len, shown)) <= WIDTH
    text = "\n".join(shown)
    for words in ("10:15  12 breaks", "breaks  review", "99 reps", "   75 %", "history too short"):
        assert words in text
    assert text.index("as the coach wrote it") < text.index("own version")


def test_capacities_before_and_after() -> None:
    """Both spreads and how many sets made the difference; a missing number shows its reason."""
    known = {"repetitions": {"p10": 10.0, "p50": 12.04, "p90": 14.0}, "observations": 3}
    unknown = {"repetitions": None, "repetitions_reason": "body_mass_missing", "observations": 0}
    shown = capacity_lines(["Abena Quartey"], ["push-ups"], {("Abena Quartey", "push-ups"): unknown},
                           {("Abena Quartey", "push-ups"): known})  # fmt: skip
    assert "body mass missing" in shown[-1]
    assert shown[-1].endswith("10.0–12.0–14.0  +3")
