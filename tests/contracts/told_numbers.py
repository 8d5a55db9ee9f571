"""Numbers of answers that somebody told, counts and versions: with each, what it is."""

from __future__ import annotations

from tests.contracts import prescription_numbers
from tests.contracts.prescription_numbers import PRESCRIBED

SENT = "what somebody sent, given back"
COUNT = "a count or a version number of stored rows"
SETTING = "a setting of the variation, as it was asked for or last done; null where it has none"
TOLD = {
    **prescription_numbers.TOLD,
    "QuestionSetOutput.version": COUNT,
    "QuestionSetOutput.valid_months": "a published figure",
    "ScreeningOutput.question_set": "the version of the questions, as it was sent",
    "PeakOutput.repetitions": "the highest of what was logged",
    "ReportOutput.severity": SENT,
    "CreatedReportOutput.severity": SENT,
    "SafetyOutput.volume_share": "a published figure, of the week of the return",
    "SafetyOutput.returning_week": "a count of weeks since the first training; null while nobody returns",
    **dict.fromkeys(
        ["AssessmentOutput.repetitions", "AssessmentOutput.rir", "BodyMassOutput.body_mass_kg"], SENT
    ),
    **dict.fromkeys([f"AssessmentOutput.{name}" for name in ("load_kg", "assistance_kg", "height_cm")], SENT),
    **{f"AssessmentOutput.{name}": SENT for name in ("hold_s", "distance_m", "energy_kcal", "elapsed_s")},
    "CyclicalFiguresOutput.amount": "the amount whose time is told, as it was asked for or last done",
    **dict.fromkeys([f"{kind}.number" for kind in ("RevisionListedOutput", "RevisionOutput")], COUNT),
    **dict.fromkeys([f"{kind}.rules_version" for kind in ("RevisionListedOutput", "RevisionOutput")], COUNT),
    **dict.fromkeys([f"ImportOutput.{name}" for name in ("created", "duplicate", "invalid")], COUNT),
    "AssessmentOutput.variation_version": COUNT,
    "ImportRowOutput.number": "a line of the file",
    "ImportedRowOutput.number": "a line of the file",
    **{
        f"ImportStateOutput.{name}": COUNT
        for name in ("rows_total", "rows_done", "created_rows", "duplicate_rows", "invalid_rows")
    },
    **dict.fromkeys(["ExportOutput.sheets_total", "ExportOutput.sheets_done"], COUNT),
    **dict.fromkeys(["FeedOutput.entry_minutes", "NewFeedOutput.entry_minutes"], SENT),
    "ChangeOutput.tries": "a count of what was begun",
    "GroupMemberOutput.version": COUNT,
    "GroupOutput.version": COUNT,
    "KitOutput.version": COUNT,
    **{
        f"{kind}.{name}": COUNT
        for kind in ("LocalVersionListedOutput", "LocalVersionOutput")
        for name in ("number", "origin_number", "newest_origin_number")
    },
    **{f"TakenUpOutput.{name}": COUNT for name in ("variations_added", "versions_added")},
    "SecondFactorOutput.recovery_codes_left": COUNT,
    "SessionOutput.version": COUNT,
    **{
        f"{kind}Output.version": COUNT
        for kind in (
            "Athlete",
            "AthleteDetail",
            "Limitation",
            "Location",
            "Membership",
            "Organisation",
            "Review",
        )
    },
    "TemplateListedOutput.version": COUNT,
    "TemplateOutput.version": COUNT,
    "VariationOutput.version": COUNT,
    "VariationVersionOutput.number": COUNT,
    "MovementOutput.version": COUNT,
    "LocationOutput.freeze_minutes": SENT,
    "PrescriptionOutput.number": COUNT,
    **{f"WellnessItemOutput.{name}": SENT for name in ("least", "most", "step")},
    **dict.fromkeys(["WellnessFormOutput.number", "WellnessAnswerOutput.version"], COUNT),
    **dict.fromkeys(["WellnessAnswerOutput.form_number", "WellnessOutput.form_number"], COUNT),
    "WellnessOutput.method_version": "is a method's version itself",
    "WellnessFlagOutput.answers": COUNT,
    "NewestAnswerOutput.value": SENT,
    **{
        f"TrainingLogOutput.{name}": SENT
        for name in ("effort", "minutes", "distance_m", "mean_heart_rate", "highest_heart_rate")
    },
    "TrainingLogOutput.version": COUNT,
    **dict.fromkeys([f"{kind}.sessions" for kind in ("LoadDayOutput", "ModalityLoadOutput")], COUNT),
    "LoadDayOutput.sessions_without_load": COUNT,
    "HeartRateLoadOutput.sessions": COUNT,
    **{f"HeartRatesOutput.{name}": SENT for name in ("resting_bpm", "maximal_bpm")},
    **{f"PatternVolumeOutput.{name}": COUNT for name in ("sets", "sets_without_load", "repetitions")},
    **{f"MovementAmountsOutput.{name}": COUNT for name in ("sets", "sets_without_time")},
    **{f"LoggedAmountsOutput.{name}": COUNT for name in ("sessions", "sessions_without_distance")},
    "ExternalLoadOutput.unknown_sets": COUNT,
    "ExternalLoadOutput.hard_reserve": "a convention, told with what it makes",
    "ExternalLoadOutput.method_version": "is a method's version itself",
    "GroupWellnessOutput.method_version": "is a method's version itself",
    **{f"GroupWellnessOutput.{name}": COUNT for name in ("form_number", "athletes_left_out")},
    "AthleteUnusualOutput.items_compared": COUNT,
    **{f"ItemUnusualOutput.{name}": COUNT for name in ("athletes_compared", "unusually_bad")},
    "LoadDayOutput.method_version": "is a method's version itself",
    "LoadSummaryOutput.method_version": "is a method's version itself",
    "GroupLoadOutput.method_version": "is a method's version itself",
    **dict.fromkeys(
        [f"{kind}.ddof" for kind in ("LoadWeekOutput", "GroupLoadOutput")], "as it was asked for"
    ),
    "LoadSumOutput.days": COUNT,
    **dict.fromkeys(
        [f"{kind}.reported_days" for kind in ("LoadWeekOutput", "LoadSumOutput", "AthleteLoadOutput")], COUNT
    ),
    "LoadInputsOutput.days": COUNT,
    "LoadWhatIfOutput.days_not_known": COUNT,
    "LoadWhatIfOutput.method_version": "is a method's version itself",
    **{
        f"ConstantsOutput.{name}": "a published figure"
        for name in ("tau_fitness", "tau_fatigue", "k_fitness", "k_fatigue", "start")
    },
    "GroupLoadOutput.told": COUNT,
    **dict.fromkeys(
        [f"{kind}.minutes" for kind in ("AttemptOutput", "SubmittedAttemptOutput", "AttemptDetailOutput")],
        SENT,
    ),
    "AttemptOutput.effort": SENT,
    "SubmittedAttemptOutput.effort": SENT,
    "AttemptDetailOutput.effort": SENT,
    "PrescriptionOutput.method_version": "is a method's version itself",
    "ScoreOutput.rules_version": "is a method's version itself",
    "ForecastCheckOutput.forecast_version": "is a method's version itself",
    "ForecastChecksOutput.method_version": "is a method's version itself",
    "LeftOutOutput.number": COUNT,
    "LeftOutOutput.results": COUNT,
    "CoverageOutput.intended": "what the interval is meant to hold",
    **{
        f"{kind}.{name}": COUNT
        for kind in ("MovementTrustOutput", "ScoreTrustOutput")
        for name in ("results", "at_least")
    },
    **{
        f"{kind}.{name}": SENT
        for kind in ("CheckSetOutput", "CheckSetSentOutput")
        for name in ("load_kg", "assistance_kg", "height_cm", "amount", "rir")
    },
    **{
        f"VersionOutput.{name}": PRESCRIBED
        for name in ("load_kg", "assistance_kg", "height_cm", "effective_kg")
    },
    "AdviceOutput.option": PRESCRIBED,
    "AdviceOutput.rest_s": PRESCRIBED,
    "ProblemOutput.status": "the status of the answer",
    **{
        f"{kind}.{name}": SETTING
        for kind in ("CapacityOutput", "FiguresOutput")
        for name in ("load_kg", "assistance_kg", "height_cm")
    },
    **{f"BestSetOutput.{name}": SENT for name in ("amount", "added_kg", "seconds")},
    "BestOutput.height_cm": SENT,
    "BestOutput.before": SENT,
    "ProgressOutput.bests_left_out": COUNT,
    "GroupProgressOutput.members_left_out": COUNT,
    "VerdictCountOutput.athletes": COUNT,
    "ProgressOutput.prior_number": "the number of a snapshot, an input itself",
    **dict.fromkeys(
        [f"ProgressOutput.{name}" for name in ("load_kg", "assistance_kg", "height_cm")], SETTING
    ),
    "BalanceTargetOutput.version": COUNT,
    "BalanceOutput.target_version": COUNT,
    "ShareOutput.share": SENT,
    "BalanceLineOutput.target_share": SENT,
    "BalanceOutput.athletes": COUNT,
    "BalanceOutput.method_version": "is a method's version itself",
    "CountedOutput.sessions": COUNT,
    "WithoutSetsOutput.sessions": COUNT,
    **{f"SumOutput.{name}": COUNT for name in ("sets", "hard_sets", "unknown_sets")},
    "CapacityHistoryOutput.prior_number": "the number of a snapshot, an input itself; null when none was used",
    **{
        f"{kind}.{name}": why
        for kind in ("CapacityOutput", "FiguresOutput")
        for name, why in {
            "observations": COUNT,
            "prior_number": "the number of a snapshot, an input itself; null when none was used",
        }.items()
    },
}
