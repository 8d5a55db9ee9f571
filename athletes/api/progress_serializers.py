"""Progression as it is told: of one athlete by movement, and of a group in one movement."""

from __future__ import annotations

import datetime as dt
from typing import Any

from rest_framework import serializers

from athletes.api.capacity_serializers import IntervalOutput
from athletes.calc.bests import REPETITIONS, SECONDS, TIME
from athletes.group_progress import CLEAR, SMALL_CELL, VERDICTS
from athletes.progress_error import OWN_ERROR, USUAL_ERROR
from athletes.progress_worth import ASKED, OF_PEOPLE
from services.api.serializers import OutputSerializer


class ProgressPointOutput(OutputSerializer):
    """A day with a sight, the day from which the change counts, or today; as all sights together tell it."""

    local_date = serializers.DateField()
    value = IntervalOutput(allow_null=True, help_text="In `unit`: rested, and of an ordinary day.")
    value_reason = serializers.CharField(allow_null=True)


class ProgressChangeOutput(OutputSerializer):
    """improved, neither and declined are probabilities and add to 1: of a change for the better by more than the
    smallest worthwhile one, of a smaller one, and of one for the worse by more than that."""

    counted_from = serializers.DateField(help_text="`since`, or the first day on which anything was seen.")
    counted_until = serializers.DateField()
    amount = IntervalOutput(allow_null=True, help_text="In `unit`.")
    amount_reason = serializers.CharField(allow_null=True)
    percent = IntervalOutput(
        help_text="Of the load for the same work (relative to the body mass where it is moved), or of the power."
    )
    improved = serializers.FloatField()
    neither = serializers.FloatField()
    declined = serializers.FloatField()
    smallest_worthwhile_percent = serializers.FloatField()
    smallest_worthwhile_from = serializers.ChoiceField(choices=[OF_PEOPLE, ASKED])


class DetectableOutput(OutputSerializer):
    """In `unit`: what a test errs by as a rule, and the difference of two tests beyond which 19 of 20 do not differ
    by that alone."""

    typical_error = serializers.FloatField()
    typical_error_from = serializers.ChoiceField(choices=[OWN_ERROR, USUAL_ERROR])
    change = serializers.FloatField()


class BestSetOutput(OutputSerializer):
    local_date = serializers.SerializerMethodField()
    amount = serializers.FloatField(help_text="Repetitions, seconds, metres or displayed kilocalories.")
    added_kg = serializers.SerializerMethodField(help_text="Load; assistance is negative. Null of `time`.")
    seconds = serializers.SerializerMethodField(help_text="That it took; of `time` alone.")

    def get_local_date(self, row: Any) -> dt.date:
        return dt.date.fromordinal(row.day)

    def get_added_kg(self, row: Any) -> float | None:
        return None if row.way.by == TIME else float(row.against)

    def get_seconds(self, row: Any) -> float | None:
        return float(row.against) if row.way.by == TIME else None


class BestOutput(OutputSerializer):
    """No other set of this way has as much under as much load, or in as little time. before: what it bettered, the
    best of earlier days at this load or amount, or harder."""

    variation_key = serializers.CharField(source="done.way.variation")
    height_cm = serializers.FloatField(source="done.way.height_cm", allow_null=True)
    unit = serializers.CharField(source="done.way.unit")
    by = serializers.ChoiceField(source="done.way.by", choices=[REPETITIONS, SECONDS, TIME])
    done = BestSetOutput()
    before = BestSetOutput(allow_null=True)


class DueSpreadOutput(OutputSerializer):
    """By how many percent of the load or power the value that 90 % lie below exceeds the middle, and from where on a
    test is due."""

    percent = serializers.FloatField()
    limit_percent = serializers.FloatField()


class ProgressOutput(OutputSerializer):
    """One movement in own terms: at the variation and the settings in which it was last done."""

    movement = serializers.UUIDField(source="movement_id")
    movement_key = serializers.CharField(source="movement")
    capacity_kind = serializers.CharField()
    measure = serializers.CharField(
        allow_null=True,
        help_text="repetitions_to_failure, one_repetition_maximum, seconds_held, critical_power, critical_speed.",
    )
    unit = serializers.CharField(allow_null=True)
    variation = serializers.UUIDField(source="variation_id", allow_null=True)
    variation_key = serializers.CharField(source="variation", allow_null=True)
    load_kg = serializers.FloatField(source="settings.load_kg", allow_null=True)
    assistance_kg = serializers.FloatField(source="settings.assistance_kg", allow_null=True)
    height_cm = serializers.FloatField(source="settings.height_cm", allow_null=True)
    points = ProgressPointOutput(many=True)
    points_reason = serializers.CharField(allow_null=True)
    change = ProgressChangeOutput(allow_null=True)
    change_reason = serializers.CharField(allow_null=True)
    detectable = DetectableOutput(allow_null=True)
    detectable_reason = serializers.CharField(allow_null=True)
    bests = BestOutput(
        many=True, help_text="Only of what counts: nothing that pain, a judge or the clock ended."
    )
    bests_left_out = serializers.IntegerField(help_text="How many older ones are not told.")
    test_due = serializers.SerializerMethodField()
    test_due_reason = serializers.CharField(
        allow_null=True, help_text="never_observed, only_lower_bounds or interval_grown."
    )
    spread = DueSpreadOutput(allow_null=True)
    spread_reason = serializers.CharField(allow_null=True)
    method = serializers.CharField()
    prior_number = serializers.IntegerField(help_text="Of the snapshot of population priors.")
    inputs = serializers.CharField(allow_null=True, help_text="SHA-256 of what it was computed from.")

    def get_test_due(self, row: Any) -> bool:
        return row.test_due_reason is not None


class ProgressionOutput(OutputSerializer):
    since = serializers.DateField()
    movements = ProgressOutput(many=True)


class GroupMemberProgressOutput(OutputSerializer):
    athlete = serializers.UUIDField(source="athlete_id")
    name = serializers.CharField()
    measure = serializers.CharField(allow_null=True)
    unit = serializers.CharField(allow_null=True)
    verdict = serializers.ChoiceField(
        choices=list(VERDICTS),
        help_text=f"What has a probability of {CLEAR:g} or more; unsure where nothing has, unknown without sights.",
    )
    change = ProgressChangeOutput(allow_null=True)
    change_reason = serializers.CharField(allow_null=True)
    method = serializers.CharField(allow_null=True)
    inputs = serializers.CharField(allow_null=True, help_text="SHA-256 of what it was computed from.")


class VerdictCountOutput(OutputSerializer):
    verdict = serializers.ChoiceField(choices=list(VERDICTS))
    athletes = serializers.IntegerField()
    small = serializers.BooleanField(
        help_text=f"Fewer than {SMALL_CELL}: single cases, of which the count says nothing about the group."
    )


class GroupProgressOutput(OutputSerializer):
    """Members of today whom the reader may know of, by name."""

    movement = serializers.UUIDField(source="movement_id")
    movement_key = serializers.CharField(source="movement")
    since = serializers.DateField()
    members = GroupMemberProgressOutput(many=True)
    members_left_out = serializers.IntegerField(help_text="Beyond the first 200; they are in no count.")
    counts = VerdictCountOutput(many=True)
