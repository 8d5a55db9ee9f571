"""Bodies that report a result: set by set, as totals, or as prescribed; of one block, or block by block."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from athletes.calc.load import MOST_MINUTES
from programming.calc.revision import UNITS
from scoring.api.floor_serializers import ENDED_BY, SettingsInput
from scoring.sent import BLOCKS, KINDS, SETTINGS
from services.api import fields
from services.api.serializers import InputSerializer

MOST_SETS = 300
MOST_BLOCKS = 8
LONGEST_S = 86_400.0
LONGEST_NOTE = 2000
SHORTEST_S = 0.1
LIGHTEST_KG = 0.1
"""Nothing is done in no time, or lifted without a load: the least that a clock or a scale in a gym shows."""


def _seconds(least: float = 0.0, **options: Any) -> fields.FloatField:
    return fields.FloatField(min_value=least, max_value=LONGEST_S, required=False, allow_null=True, **options)


class AmountInput(InputSerializer):
    """An amount in one unit: exactly one of the four."""

    repetitions = fields.IntegerField(min_value=0, max_value=2000, required=False)
    hold_s = fields.FloatField(min_value=0.0, max_value=36_000.0, required=False)
    distance_m = fields.FloatField(min_value=0.0, max_value=500_000.0, required=False)
    energy_kcal = fields.FloatField(min_value=0.0, max_value=20_000.0, required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if sum(unit in attrs for unit in UNITS) != 1:
            raise serializers.ValidationError(f"Send exactly one of {', '.join(UNITS)}.", code="one_of")
        return attrs


class DoneInput(AmountInput):
    """An amount of a work item, and the variation that was done."""

    work = fields.CharField(max_length=40)
    variation = fields.SlugField(max_length=60)


class SetInput(DoneInput, SettingsInput):
    """One set. interval counts from 1, in blocks that have intervals."""

    rest_before_s = _seconds()
    duration_s = _seconds()
    rir = fields.IntegerField(min_value=0, max_value=10, required=False, allow_null=True)
    ended_by = fields.ChoiceField(choices=ENDED_BY)
    interval = fields.IntegerField(min_value=1, max_value=1000, required=False, allow_null=True)


class SetLogInput(InputSerializer):
    """Sets in the order they were done. split_s: the clock when the work that breaks ties was done."""

    sets = fields.ListField(child=SetInput(), max_length=MOST_SETS, allow_empty=False)
    elapsed_s = _seconds()
    split_s = _seconds()


class WorkTotalInput(DoneInput, SettingsInput):
    """Exactly one of the four amounts. variation: what all of it was done with, and how it was set; left out: as was
    prescribed.
    """

    variation = fields.SlugField(max_length=60, required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        attrs = super().validate(attrs)
        if "variation" not in attrs and any(attrs.get(name) is not None for name in SETTINGS):
            raise serializers.ValidationError("Name the variation that was set so.", code="required")
        return attrs


class TotalsInput(InputSerializer):
    """What there is without sets. misses: intervals or attempts; heaviest_kg: the heaviest load that succeeded.

    Where no attempt with a load succeeded, or with assistance alone, send the sets.
    """

    elapsed_s = _seconds(SHORTEST_S)
    breaks = fields.IntegerField(min_value=0, max_value=2000, required=False, allow_null=True)
    misses = fields.IntegerField(min_value=0, max_value=2000, required=False, allow_null=True)
    split_s = _seconds(SHORTEST_S)
    smallest_interval = fields.FloatField(min_value=0.0, max_value=500_000.0, required=False, allow_null=True)
    heaviest_kg = fields.FloatField(min_value=LIGHTEST_KG, max_value=500.0, required=False, allow_null=True)
    work = fields.ListField(child=WorkTotalInput(), max_length=20, allow_empty=False)


class AsPrescribedInput(InputSerializer):
    """All was done as the plan of the named prescription says. rir: what was left at the end, for the coach."""

    elapsed_s = _seconds()
    rir = fields.IntegerField(min_value=0, max_value=10, required=False, allow_null=True)


class BlockReportInput(InputSerializer):
    """One block, reported in one of the three ways."""

    block = fields.CharField(max_length=40)
    set_log = SetLogInput(required=False)
    totals = TotalsInput(required=False)
    as_prescribed = AsPrescribedInput(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        return _one_of(attrs, KINDS)


def _one_of(attrs: dict[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    if sum(name in attrs for name in names) != 1:
        raise serializers.ValidationError(f"Send exactly one of {', '.join(names)}.", code="one_of")
    return attrs


class ReportInput(InputSerializer):
    """A result: exactly one of a set log, totals, "as prescribed", or blocks with one of these each.

    effort: how hard all of it felt, 0 to 10. minutes: how long all of it took, rests and warm-up with it; both
    together are the load of the session. note: the athlete's words, kept as sent.
    """

    performed_at = fields.DateTimeField()
    client_id = fields.CharField(max_length=80, required=False, allow_null=True)
    prescription = fields.UUIDField(required=False, allow_null=True)
    effort = fields.FloatField(min_value=0.0, max_value=10.0, required=False, allow_null=True)
    minutes = fields.FloatField(min_value=0.0, max_value=MOST_MINUTES, required=False, allow_null=True)
    note = fields.CharField(max_length=LONGEST_NOTE, required=False, allow_blank=True)
    set_log = SetLogInput(required=False)
    totals = TotalsInput(required=False)
    as_prescribed = AsPrescribedInput(required=False)
    blocks = fields.ListField(
        child=BlockReportInput(), max_length=MOST_BLOCKS, allow_empty=False, required=False
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        return _one_of(attrs, (*KINDS, BLOCKS))


class AttemptInput(ReportInput):
    session = fields.UUIDField()
    athlete = fields.UUIDField()


class AttemptCorrectionInput(ReportInput):
    reason = fields.CharField(max_length=500)


class NoteInput(InputSerializer):
    text = fields.CharField(max_length=LONGEST_NOTE)
    client_id = fields.CharField(max_length=80, required=False, allow_null=True)
