"""External load as it is told, and its example."""

from __future__ import annotations

from typing import Any, Final

from rest_framework import serializers

from athletes.calc.external_load import HARD_RESERVE
from athletes.loads import MODALITIES
from programming.calc.catalogue import PATTERNS
from scoring.api.balance_serializers import CountedOutput
from services.api.serializers import OutputSerializer

NOT_COUNTED: Final = "not_counted_in_it"


class PatternVolumeOutput(OutputSerializer):
    """Sets of one pattern that are counted in repetitions. volume_load_kg: repetitions times moved kilograms, of sets
    whose load is known, body mass in it by the variation's share."""

    pattern = serializers.ChoiceField(choices=sorted(PATTERNS))
    volume_load_kg = serializers.FloatField(source="volume.volume_load_kg.value", allow_null=True)
    volume_load_kg_reason = serializers.CharField(source="volume.volume_load_kg.reason", allow_null=True)
    sets = serializers.IntegerField(source="volume.sets")
    sets_without_load = serializers.IntegerField(source="volume.sets_without_load")
    repetitions = serializers.FloatField(source="volume.repetitions")


class MuscleGroupSetsOutput(OutputSerializer):
    """Hard sets of one muscle group: those in which it works directly; these and half of those in which it helps;
    all of them."""

    muscle_group = serializers.CharField()
    direct = serializers.FloatField(source="hard_sets.direct")
    fractional = serializers.FloatField(source="hard_sets.fractional")
    total = serializers.FloatField(source="hard_sets.total")


class MovementAmountsOutput(OutputSerializer):
    """null where no set of the movement is counted in it."""

    movement = serializers.UUIDField()
    name = serializers.CharField()
    pattern = serializers.ChoiceField(choices=sorted(PATTERNS))
    sets = serializers.IntegerField()
    distance_m = serializers.FloatField(source="metres", allow_null=True)
    distance_m_reason = serializers.SerializerMethodField()
    energy_kcal = serializers.FloatField(source="kilocalories", allow_null=True)
    energy_kcal_reason = serializers.SerializerMethodField()
    minutes = serializers.FloatField(help_text="Of sets whose time is known, rests left out.")
    sets_without_time = serializers.IntegerField()

    def get_distance_m_reason(self, row: Any) -> str | None:
        return NOT_COUNTED if row.metres is None else None

    def get_energy_kcal_reason(self, row: Any) -> str | None:
        return NOT_COUNTED if row.kilocalories is None else None


class LoggedAmountsOutput(OutputSerializer):
    """Training beside the programme, by what it was."""

    modality = serializers.ChoiceField(choices=MODALITIES)
    sessions = serializers.IntegerField()
    minutes = serializers.FloatField()
    distance_m = serializers.FloatField(source="metres.value", allow_null=True)
    distance_m_reason = serializers.CharField(source="metres.reason", allow_null=True)
    sessions_without_distance = serializers.IntegerField()


class ExternalLoadOutput(OutputSerializer):
    """What was done, kind by kind; kilograms, sets, metres and minutes are never added to one another."""

    from_date = serializers.DateField()
    until_date = serializers.DateField()
    results = CountedOutput(source="told.results")
    volume_by_pattern = PatternVolumeOutput(source="told.volume_by_pattern", many=True)
    hard_sets_by_muscle_group = MuscleGroupSetsOutput(source="told.hard_sets_by_muscle_group", many=True)
    hard_reserve = serializers.SerializerMethodField(
        help_text="A set is hard that failed, or ended with at most so many repetitions left: common practice."
    )
    unknown_sets = serializers.IntegerField(
        source="told.unknown_sets",
        help_text="Of which nobody said how much was left; not among the hard ones.",
    )
    by_movement = MovementAmountsOutput(source="told.by_movement", many=True)
    logged = LoggedAmountsOutput(source="told.logged", many=True)
    method_version = serializers.IntegerField(source="told.method_version")

    def get_hard_reserve(self, row: Any) -> float:
        return HARD_RESERVE


EXAMPLE: Final[dict[str, Any]] = {
    "from_date": "2030-02-21",
    "until_date": "2030-03-20",
    "results": {"sessions": 8, "without_sets": [{"reason": "totals_tell_no_sets", "sessions": 1}]},
    "volume_by_pattern": [
        {
            "pattern": "squat",
            "volume_load_kg": 14820.5,
            "volume_load_kg_reason": None,
            "sets": 24,
            "sets_without_load": 0,
            "repetitions": 210.0,
        }
    ],
    "hard_sets_by_muscle_group": [
        {"muscle_group": "glutes", "direct": 18.0, "fractional": 18.0, "total": 18.0},
        {"muscle_group": "hamstrings", "direct": 0.0, "fractional": 9.0, "total": 18.0},
    ],
    "hard_reserve": 3.0,
    "unknown_sets": 6,
    "by_movement": [
        {
            "movement": "7f2d7d8f-5b3c-4a39-8a2e-0c9d1b6f2e10",
            "name": "Rowing machine",
            "pattern": "cyclical",
            "sets": 4,
            "distance_m": 2000.0,
            "distance_m_reason": None,
            "energy_kcal": None,
            "energy_kcal_reason": "not_counted_in_it",
            "minutes": 8.2,
            "sets_without_time": 0,
        }
    ],
    "logged": [
        {
            "modality": "running",
            "sessions": 6,
            "minutes": 271.0,
            "distance_m": 49200.0,
            "distance_m_reason": None,
            "sessions_without_distance": 0,
        }
    ],
    "method_version": 1,
}
