"""The numbers of prescriptions: what is told, and what is derived with how sure it is. See test_derived_numbers."""

from __future__ import annotations

PRESCRIBED = "as the prescription says it, which has its own basis"
SETTING_OF_KIT = "a setting that the kit offers"
ASKED = "as the coach wrote it in the aim or the work"
COUNT = "a count or a version number of stored rows"
METHOD = "is a method's version itself"
OPTIONS = (
    "PrescribedOptionOutput", "PrescribedWorkOutput", "WarmUpSetOutput", "CheckSetAskedOutput", "AttemptLoadOutput",
)  # fmt: skip
UNITS = ("repetitions", "hold_s", "distance_m", "energy_kcal")
SETTINGS = ("load_kg", "assistance_kg", "height_cm")

TOLD: dict[str, str] = {
    **{f"{kind}.{name}": SETTING_OF_KIT for kind in OPTIONS for name in SETTINGS},
    **{
        f"{kind}.{name}": SETTING_OF_KIT
        for kind in ("ComparedOutput", "ReachVersionOutput", "OverrideWorkOutput")
        for name in SETTINGS
    },
    **{f"{kind}.variation_version": COUNT for kind in OPTIONS},
    **{f"PrescribedWorkOutput.{unit}": "the amount to do, null under the other units" for unit in UNITS},
    **{f"PlannedSetOutput.{unit}": "a set of the plan, null under the other units" for unit in UNITS},
    "OverrideWorkOutput.amount": "as the coach overrode it",
    "ReachVersionOutput.amount": "the amount to do; null: as much as possible",
    "ReachPersonOutput.body_mass_kg": "as recorded, or that of a typical athlete",
    "ReachOutput.scenarios": COUNT,
    "SessionProfileOutput.method_version": METHOD,
    "WhatIfOutput.method_version": METHOD,
    "ListedOutput.number": "its place among the sets of the block, as they were sent",
    "ListedOutput.amount": "as it was sent",
    "BriefOutput.number": COUNT,
    "SetShareOutput.number": COUNT,
    "SetShareOutput.amount": "as it was logged",
    **{
        f"PacedOutput.{name}": "how it is paced, chosen or as asked for"
        for name in ("share", "rest_s", "patience", "pace")
    },
    "ReachOutput.method_version": METHOD,
    "ExplanationOutput.method_version": METHOD,
    "ExplanationOutput.number": COUNT,
    **{
        f"{kind}.{name}": ASKED
        for kind in ("PrescribedConditionOutput", "CostOutput", "ReachConditionOutput")
        for name in ("lower", "upper")
    },
    **{
        f"CheckSetAskedOutput.{name}": "what to do, by a rule on the window of the aim"
        for name in (
            "stop_at",
            "reserve_at_least",
            "reserve_at_most",
            "able_at_least",
            "able_at_most",
            "rest_after_s",
        )
    },
    **{f"CheckSetAskedOutput.{name}": PRESCRIBED for name in ("if_easier_needed", "if_harder_possible")},
    "AttemptLoadOutput.number": COUNT,
    "AttemptLoadOutput.repetitions": "what to do, by the work as written or overridden",
    "WarmUpSetOutput.repetitions": "what to do, by common practice",
    **dict.fromkeys(
        [
            f"OtherPacingOutput.{name}"
            for name in ("rest_s", "rest_now_s", "share", "share_now", "patience", "pace")
        ],
        "what to do, of the pacing that was chosen and of one beside it",
    ),
    "PlannedSetOutput.rest_before_s": "what to do; what follows from it is in `expected`",
    "BlockAnswerOutput.rounds": "the most rounds to do; null: as written",
    "PrescribedSafetyOutput.returning_week": "as the published scheme counts",
    "PrescribedSafetyOutput.volume_share": "of the published scheme",
    "ContentOutput.hold": "what people stated",
    "ContentOutput.overridden_by": "what a person decided",
    **{f"{kind}.ended": "what a person decided" for kind in ("OverrideOutput", "OverrideMadeOutput")},
}

# (field of the method, field of the inputs, why there is no interval) of each derived number.
_BASIS = ("PrescriptionOutput.method_version", "PrescriptionOutput.basis")
_WHY = ("ExplanationOutput.method_version", "ExplanationOutput.basis")
_TRIED = ("ReachOutput.method_version", "ReachOutput.inputs")
_SUPPOSED = ("WhatIfOutput.method_version", "WhatIfOutput.prescription")
_PROFILE = ("SessionProfileOutput.method_version", "SessionProfileOutput.counted_from")
SURE = "a probability itself"
ARITHMETIC = "load, assistance and the share of the body mass, added up"

DERIVED: dict[str, tuple[str, str, str]] = {
    **{f"{kind}.effective_kg": (*_BASIS, ARITHMETIC) for kind in OPTIONS},
    **{
        f"ExpectedOutput.{name}": (*_BASIS, "holds p10 and p90 itself")
        for name in ("score", "rounds", "score_s", "misses", "elapsed_s", "first_set", "smallest_later_set")
    },
    "ExpectedOutput.finish_probability": (*_BASIS, SURE),
    "RoundsOutput.rounds": (*_BASIS, "one of the quantiles itself"),
    "ContentOutput.expected": (*_BASIS, "its numbers hold p10 and p90"),
    "ContentOutput.expected_by_block": (*_BASIS, "its numbers hold p10 and p90"),
    "StopperOutput.gain": (*_BASIS, "a mean over the scenarios, to rank what stops the athlete by"),
    "OtherPacingOutput.costs": (
        *_BASIS,
        "a median of differences that are clear of the noise, to weigh them by",
    ),
    "OtherPacingOutput.more_breaks": (*_BASIS, "a median of differences, told beside what they cost"),
    "PlannedSetOutput.duration_s": (*_BASIS, "what to do in the middle scenario; `expected` has the spread"),
    "PrescribedConditionOutput.probability": (*_BASIS, SURE),
    "AttemptLoadOutput.probability": (*_BASIS, SURE),
    "CostOutput.with_override": (*_BASIS, SURE),
    "CostOutput.without": (*_BASIS, SURE),
    "ReachConditionOutput.probability": (*_TRIED, SURE),
    "ListedOutput.begun_probability": (*_SUPPOSED, SURE),
    "ListedOutput.there_probability": (*_SUPPOSED, SURE),
    "ListedOutput.done": (*_SUPPOSED, "holds p10 and p90 itself"),
    "ComparedOutput.fresh": (*_WHY, "holds p10 and p90 itself"),
    "ComparedOutput.probability": (*_WHY, SURE),
    "ComparedOutput.loss": (*_WHY, "a mean over the scenarios, to compare versions by"),
    "WorkWhyOutput.chosen": (*_WHY, "its numbers hold p10 and p90"),
    "WorkWhyOutput.capacity": (*_WHY, "holds median, lower and upper itself"),
    "ExplanationOutput.p_all": (*_WHY, SURE),
    **{
        f"BlockProfileOutput.{name}": (*_PROFILE, "counted over the sets of a plan or a log")
        for name in (
            *("sets", "work_s", "rest_s", "density", "near_failure_repetitions", "reserve_known_share"),
            "trains_share",
        )
    },
    **{
        f"LengthsOutput.{length}_{of}": (*_PROFILE, "counted over the sets of a plan or a log")
        for length in ("short", "middle", "long")
        for of in ("sets", "repetitions")
    },
    "SetShareOutput.available": (*_PROFILE, "holds p10 and p90 itself"),
    "SetShareOutput.share_percent": (*_PROFILE, "of the middle; `available` has the spread"),
    "ProfiledAmountOutput.amount": (*_PROFILE, "counted over the sets of a plan or a log"),
    **{f"EnergyOutput.{name}": (*_PROFILE, "a bound of a range itself") for name in ("from_kcal", "to_kcal")},
}
OBJECTS: dict[str, str] = {"ExplanationOutput.basis": "the inputs themselves"}
# Kinds that are nothing but an interval.
PARTS_OF: dict[str, str] = {
    "SpreadOutput": "ComparedOutput.fresh",
    "WholeSpreadOutput": "ExpectedOutput.breaks",
}
