"""Every number in an answer is either told by somebody, or derived: then it can be traced, and says how sure it is.

A derived number names its method and its inputs, and has an interval or a stated reason to have none; where it
may be null, a reason stands beside it. Each number of the document is on one of the two lists below.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest

from tests.contracts import prescription_numbers
from tests.contracts.stage import Stage
from tests.contracts.told_numbers import SENT, TOLD
from tests.support.api import ApiClient, committed_document


@dataclass(frozen=True)
class Derived:
    """Where a reader finds the rest, as fields of the document; `exact` says why there is no interval."""

    method: str
    inputs: str
    interval: tuple[str, str] = ("", "")
    exact: str = ""


def _of(kind: str) -> dict[str, Derived]:
    """Capacity in the terms of a person, in the list and alone."""
    method, inputs = f"{kind}.method", f"{kind}.inputs"
    arithmetic = "load, assistance and the share of the body mass, added up"
    return {
        f"{kind}.effective_kg": Derived(method, inputs, exact=arithmetic),
        f"{kind}.repetitions": Derived(method, inputs, ("RepetitionsOutput.p10", "RepetitionsOutput.p90")),
        f"{kind}.one_rm": Derived(method, inputs, ("MaximumOutput.lower_kg", "MaximumOutput.upper_kg")),
        f"{kind}.hold": Derived(method, inputs, ("IntervalOutput.lower", "IntervalOutput.upper")),
        f"{kind}.cyclical": Derived(method, inputs, ("IntervalOutput.lower", "IntervalOutput.upper")),
    }


# A block's rules give a score with certainty; what was logged stands in `as_sent` of the attempt.
_RULES = Derived("ScoreOutput.rules_version", "AttemptDetailOutput.as_sent", exact="by the block's rules")
_ROW = Derived("ScoreOutput.rules_version", "OfficialRowOutput.attempt", exact="an order of exact scores")
# The forecast is frozen in the prescription that the athlete's attempt of the official rows names.
_OWN = Derived(
    "PrescriptionOutput.method_version", "PrescriptionOutput.forecast", exact="a place in a forecast"
)
_FORECAST = ("PrescriptionOutput.method_version", "PrescriptionOutput.basis")
_PARTS_OF = {
    **prescription_numbers.PARTS_OF,
    "RepetitionsOutput": "FiguresOutput.repetitions",
    "MaximumOutput": "FiguresOutput.one_rm",
    "SecondsOutput": "HoldFiguresOutput.seconds",
    "IntervalOutput": "HoldFiguresOutput.minute_kg",
    "CoveredOutput": "CoverageOutput.held",
    "MeanOutput": "MovementTrustOutput.bias",
    "DueSpreadOutput": "ProgressOutput.spread",
}
_CHECKED = ("ForecastChecksOutput.method_version", "ForecastCheckOutput.position")
_MEAN = Derived(*_CHECKED, ("MeanOutput.lower", "MeanOutput.upper"))
_HELD = Derived(
    "ForecastCheckOutput.forecast_version",
    "ForecastCheckOutput.attempt",
    exact="what came, and its place in a distribution",
)
_SECONDS = Derived("FiguresOutput.method", "FiguresOutput.inputs", ("SecondsOutput.p10", "SecondsOutput.p90"))
_BOOKED = Derived("BalanceOutput.method_version", "BalanceOutput.done", exact="a sum of what is booked")
_PROGRESS = ("ProgressOutput.method", "ProgressOutput.inputs")
_BOUNDS = ("IntervalOutput.lower", "IntervalOutput.upper")
_CHANCE = Derived(*_PROGRESS, exact="a probability")
_DETECTED = Derived(*_PROGRESS, exact="the usual error of a test, and a multiple of it")

_DAYS = ("LoadSummaryOutput.method_version", "LoadSummaryOutput.inputs")
_LOAD = Derived(*_DAYS, exact="arithmetic over the days that are known")
_OWN_BASELINE = Derived(
    "WellnessOutput.method_version",
    "WellnessFlagOutput.answers",
    exact="arithmetic over answers, and the limits themselves",
)
_WHAT_IF = Derived(
    "LoadWhatIfOutput.method_version",
    "LoadWhatIfOutput.constants",
    exact="a model's arithmetic with the constants that are named, and no forecast",
)
_LOAD_DAY = Derived(
    "LoadDayOutput.method_version", "LoadDayOutput.sessions", exact="effort times minutes, added up"
)

_HEART_RATE = Derived(
    "HeartRateLoadOutput.coefficients",
    "HeartRateLoadOutput.sessions",
    exact="minutes times a weighted share, added up",
)
_EXTERNAL = Derived(
    "ExternalLoadOutput.method_version", "ExternalLoadOutput.results", exact="sums of what was sent"
)
DERIVED: dict[str, Derived] = {
    **{
        f"OwnBaselineOutput.{name}": _OWN_BASELINE
        for name in (
            *("centre", "weighted", "lower", "upper", "sum_high", "sum_low", "sum_limit"),
            "false_flags_per_week",
        )
    },
    "WellnessOutput.false_flags_per_week": _OWN_BASELINE,
    **{
        f"CourseDayOutput.{name}": _WHAT_IF
        for name in ("load_au", "fitness_au", "fatigue_au", "difference_au")
    },
    **{f"TurningOutput.{name}": _WHAT_IF for name in ("neutral_days", "greatest_days")},
    **{f"LoadDayOutput.{name}": _LOAD_DAY for name in ("load_au", "minutes")},
    **{f"ModalityLoadOutput.{name}": _LOAD_DAY for name in ("load_au", "minutes")},
    **{f"{kind}.reported_load_au": _LOAD for kind in ("LoadWeekOutput", "LoadSumOutput")},
    "LoadFigureOutput.value": _LOAD,
    **{f"HeartRateLoadOutput.{name}": _HEART_RATE for name in ("load_au", "reported_load_au")},
    "PatternVolumeOutput.volume_load_kg": _EXTERNAL,
    **{f"MuscleGroupSetsOutput.{name}": _EXTERNAL for name in ("direct", "fractional", "total")},
    **{f"MovementAmountsOutput.{name}": _EXTERNAL for name in ("distance_m", "energy_kcal", "minutes")},
    **{f"LoggedAmountsOutput.{name}": _EXTERNAL for name in ("distance_m", "minutes")},
    "GroupWellnessOutput.false_flags_per_week": Derived(
        "GroupWellnessOutput.method_version",
        "AthleteUnusualOutput.items_compared",
        exact="a rate that was simulated, added up",
    ),
    "LoadRatioOutput.value": _LOAD,
    "CapOutput.most_repetitions": Derived(
        "SafetyOutput.method", "AbsenceOutput.peak_volumes", exact="a published share of what was logged"
    ),
    **_of("CapacityOutput"),
    **_of("FiguresOutput"),
    **{f"BalanceLineOutput.{name}": _BOOKED for name in ("planned_share", "done_share", "ahead")},
    "SumOutput.work_s": _BOOKED,
    "ProgressPointOutput.value": Derived(*_PROGRESS, _BOUNDS),
    "ProgressChangeOutput.amount": Derived(*_PROGRESS, _BOUNDS),
    **{f"ProgressChangeOutput.{name}": _CHANCE for name in ("improved", "neither", "declined")},
    "ProgressChangeOutput.smallest_worthwhile_percent": Derived(
        *_PROGRESS, exact="a share of the prior's spread, or what was asked"
    ),
    "ProgressOutput.change": Derived(*_PROGRESS, _BOUNDS),
    "ProgressOutput.detectable": _DETECTED,
    **{f"DetectableOutput.{name}": _DETECTED for name in ("typical_error", "change")},
    "ProgressOutput.spread": Derived(*_PROGRESS, exact="half of an interval itself, and a limit"),
    "GroupMemberProgressOutput.change": Derived(
        "GroupMemberProgressOutput.method", "GroupMemberProgressOutput.inputs", _BOUNDS
    ),
    "HoldFiguresOutput.seconds": _SECONDS,
    "CyclicalFiguresOutput.seconds": _SECONDS,
    **{
        f"ScoreOutput.{name}": _RULES
        for name in (
            *("value", "score_s", "elapsed_s", "breaks", "penalty_s", "repetitions", "repetitions_by_work"),
            *("rounds_completed", "last_round_amount", "misses", "split_s"),
        )
    },
    "DoneOutput.amount": _RULES,
    "AttemptDetailOutput.score": _RULES,
    **{
        f"OfficialRowOutput.{name}": _ROW
        for name in (
            *("rank", "value", "score_s", "repetitions", "breaks", "rounds_completed", "last_round_amount"),
            *("misses", "split_s", "points"),
        )
    },
    **{f"ForecastRowOutput.{name}": _OWN for name in ("rank", "quantile")},
    **{
        place: Derived(method, inputs, exact=why)
        for place, (method, inputs, why) in prescription_numbers.DERIVED.items()
    },
    "CoverageOutput.held": Derived(*_CHECKED, ("CoveredOutput.lower", "CoveredOutput.upper")),
    "CoverageOutput.as_many_as": Derived(
        *_CHECKED, exact="a number of results, of which the interval is made"
    ),
    **{
        f"{kind}.{name}": _MEAN
        for kind in ("MovementTrustOutput", "ScoreTrustOutput")
        for name in ("bias", "position")
    },
    **{
        f"ForecastCheckOutput.{name}": _HELD
        for name in ("done", "foreseen", "difference", "position", "low", "high")
    },
    "PrescriptionOutput.forecast": Derived(*_FORECAST, exact="quantiles itself"),
}
# Objects that hold no number of ours: sent by somebody, or described elsewhere on the lists.
OBJECTS = {
    **prescription_numbers.OBJECTS,
    "LoadWhatIfOutput.turning": "numbers of which each is listed",
    "LoadSummaryOutput.ratio": "what was asked for, or nothing: its own number has its own reason",
    "ScreeningOutput.answers": SENT,
    "WellnessAnswerOutput.answers": SENT,
    "WellnessFlagOutput.newest_answer": SENT,
    "WellnessFlagOutput.baseline": "numbers of which each is listed; baseline_reason says why there are none",
    "AbsenceOutput.answer": SENT,
    "ReportOutput.recipient": "a person",
    "CreatedReportOutput.recipient": "a person",
    "CreatedReportOutput.emergency": "texts",
    "CreatedReportOutput.hold": "what people stated",
    "AthleteOutput.kit": SENT,
    "AthleteDetailOutput.kit": SENT,
    "AttemptDetailOutput.as_sent": SENT,
    "AttemptDetailOutput.review": "whether somebody has to look at it",
    "KitOutput.items": SENT,
    "LocalVersionOutput.document": SENT,
    "MovementOutput.prior": SENT,
    "TemplateOutput.draft": SENT,
    "VariationVersionOutput.document": SENT,
    "PrescriptionOutput.basis": "the inputs themselves",
}


def schemas() -> dict[str, Any]:
    found: dict[str, Any] = committed_document().content["components"]["schemas"]
    return found


def numbers() -> Iterator[tuple[str, bool]]:
    """(Schema.field, may be null) of each number, and of each object that may hold one, in an output."""
    for kind, schema in schemas().items():
        if not kind.endswith("Output"):
            continue
        for name, field in schema.get("properties", {}).items():
            types = {field.get("type")} if not isinstance(field.get("type"), list) else set(field["type"])
            alternatives = field.get("oneOf", [])
            nullable = "null" in types or {"type": "null"} in alternatives
            if types & {"number", "integer", "object"} or (nullable and alternatives):
                yield f"{kind}.{name}", nullable


def exists(place: str) -> bool:
    kind, name = place.split(".")
    return name in schemas().get(kind, {}).get("properties", {})


def test_each_number_is_on_a_list() -> None:
    """A new number in an answer is written down as told or as derived; a removed one leaves the list."""
    found = {place for place, _ in numbers() if place.split(".")[0] not in _PARTS_OF}
    listed = [*TOLD, *DERIVED, *OBJECTS]
    assert len(listed) == len(set(listed))
    assert found == set(listed)


@pytest.mark.parametrize("place", sorted(DERIVED))
def test_a_derived_number_can_be_traced(place: str) -> None:
    """Method and inputs are fields of the document; an interval too, unless there is a reason to have none."""
    rule = DERIVED[place]
    assert exists(place)
    assert exists(rule.method)
    assert exists(rule.inputs)
    assert bool(rule.exact) != bool(rule.interval[0])
    assert all(exists(bound) for bound in rule.interval if bound)


def test_a_number_that_may_be_null_has_a_reason() -> None:
    """`<name>_reason` stands beside each derived number that may be undefined, and is null otherwise."""
    nullable = {place for place, may_be_null in numbers() if may_be_null}
    derived = nullable & set(DERIVED)
    assert len(derived) > 10
    assert [place for place in sorted(derived) if not exists(f"{place}_reason")] == []


def test_an_interval_is_whole() -> None:
    """What has an interval never has half of one: no bound may be null."""
    for kind in _PARTS_OF:
        assert all(field["type"] in ("number", "integer") for field in schemas()[kind]["properties"].values())
        assert set(schemas()[kind]["required"]) == set(schemas()[kind]["properties"])


def test_what_a_prescription_expects_is_never_one_number(stage: Stage) -> None:
    """The document leaves its content open, so the content itself is looked at: intervals, or a probability."""
    address = f"/api/v1/organisations/{stage.ours.cast.org.id}/prescriptions"
    items = ApiClient(stage.token("coach")).get(address).json()["items"]
    expected = [item["content"]["expected"] for item in items if item["content"]["expected"]]
    assert expected
    for one in expected:
        assert list(_bare(one, "expected")) == ["expected.finish_probability"], json.dumps(one)
    for item in items:
        assert item["method_version"] >= 1
        assert (item["forecast"] is None) == (item["forecast_reason"] is not None)
        assert {"kit", "revision", "capacities"} <= set(item["basis"])
        if item["content"]["expected"] is None:
            assert not item["feasible"]


def _bare(value: Any, place: str) -> Iterator[str]:
    """Numbers that do not stand between a lower and an upper one, and nulls without a reason."""
    if isinstance(value, dict) and set(value) == {"p10", "p50", "p90"}:
        known = [number for number in value.values() if number is not None]
        assert known == sorted(known), place
        return
    if isinstance(value, dict):
        for name, inner in value.items():
            holes = isinstance(inner, dict) and None in inner.values()
            if holes and not value.get(f"{name}_reason"):
                yield f"{place}.{name} without a reason"
            yield from _bare(inner, f"{place}.{name}")
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield place
