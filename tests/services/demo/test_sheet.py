"""The sheet and the tables that the demo prints: widths, columns, and nothing left out without a word."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from scoring.calc.prescription import ALTERNATIVES
from services.demo.sheet import SAFETY, WIDTH, Strip, clock, footer, heading, strip_lines, version_name
from services.demo.tables import capacity_lines, ranking_lines


def option(variation: str, **fields: Any) -> dict[str, Any]:
    plain = {"variation_name": "A very long name of a variation", "load_kg": None, "assistance_kg": None}
    return {"variation": variation, **plain, "height_cm": None, **fields}


def work(key: str, variation: str, **fields: Any) -> dict[str, Any]:
    return {"work": key, "as_written": False, **option(variation), **fields}


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
        "score_s": {"p10": 440, "p50": 540, "p90": None},
        "breaks": {"p50": 8},
        "first_set": {"a": {"p10": 15, "p50": 18, "p90": 21}, "b": {"p10": 125, "p50": 130, "p90": 137}},
    },
    "check_sets": [],
    "closest": [],
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
    "if_easier_needed": option("push_up_hands_raised", height_cm=60),
    "if_harder_possible": option("push_up_feet_raised", height_cm=60),
}


def lines(**changes: Any) -> list[str]:
    content = {**copy.deepcopy(CONTENT), **changes}
    return strip_lines(Strip("Abena Quartey", "f 35, 63 kg", content, 0.784))


def refused(code: str, **changes: Any) -> list[str]:
    return lines(feasible=False, work=[], reasons=[{"code": code, "work": "a"}], **changes)


def test_a_strip_is_two_lines_of_columns() -> None:
    """Name, version, sets, fresh repetitions and score each start where the heading says."""
    head = heading("Title", "Old Mill", "2030-01-01", ["what it is"])[-2]
    first, second = lines()
    assert first.startswith("Abena Quartey")
    assert second.startswith("  f 35, 63 kg")
    assert first[head.index("version") :].lstrip().startswith("push-up, hands at 45 cm")
    assert second[head.index("version") :].startswith("=kettlebell squat 22.5 kg")
    assert [first[at - 3 : at].strip() for at in (46, 50, 54, 58)] == ["13", "11", "9", ""]
    assert first[head.index("fresh") :].startswith("15–18–21")
    assert first[head.index("score") :] == "7:20 – 9:00 –   –"
    assert second[head.index("score") :] == "aim  78 %, 8 breaks"


@pytest.mark.parametrize(
    "shown",
    [
        lines(),
        lines(plan=[{"work": "a", "repetitions": 100, "rest_before_s": 0}] * 30),
        lines(expected={**CONTENT["expected"], "score_s": {"p10": 1190, "p50": 1620, "p90": 3599}}),
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


def test_many_sets_end_in_dots() -> None:
    """What does not fit the columns is not cut without a sign."""
    first = lines(plan=[{"work": "a", "repetitions": 5, "rest_before_s": 0}] * 12)[0]
    assert first.count("   5") == 7
    assert "…" in first


def test_a_check_set_replaces_the_plan() -> None:
    """Where a check set must come first no number of repetitions is given for the first set."""
    shown = lines(check_sets=[CHECK])
    assert "after the check set" in shown[0]
    assert "13" not in shown[0].replace("130", "")
    told = " ".join(line.strip() for line in shown[2:])
    assert told == (
        "check first: push-up, hands at 45 cm, stop at 8; under 2 left: push-up, hands at 60 cm; "
        "over 12 left: push-up, feet at 60 cm"
    )


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
    for words in ("10:15  12 breaks", "to be reviewed", "99 reps", "   75 %", "history too short"):
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
