"""Bodies of reports, in and out."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from athletes.actions.reports import PAIN, RED_FLAG, WORST
from athletes.api.report_reading import LONGEST
from athletes.api.safety_serializers import EmergencyOutput, HoldOutput, RecipientOutput
from athletes.calc.pain import is_strong
from athletes.emergency import Emergency, effective_settings
from athletes.guidance import text
from athletes.models import HoldRelease, Report, ReportReview
from athletes.reported import REASONS
from athletes.safeties import safeties
from athletes.safety_words import LIMITED_HAZARDS, SEVERITY, SIDES, SIGNS, SITES
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer


class ReportInput(InputSerializer):
    """What to send; a report of another form is stored as far as it can be read."""

    kind = fields.ChoiceField(choices=(PAIN, RED_FLAG))
    happened_at = fields.DateTimeField(
        required=False,
        allow_null=True,
        help_text="RFC 3339 with an offset; missing, in the future or no such time: now, and the answer says so.",
    )
    sign = fields.ChoiceField(choices=tuple(SIGNS), required=False, help_text="Of a red_flag.")
    site = fields.ChoiceField(choices=SITES, required=False)
    side = fields.ChoiceField(choices=SIDES, required=False)
    severity = fields.IntegerField(min_value=0, max_value=WORST, required=False, help_text=SEVERITY)
    session = fields.UUIDField(source="session_id", required=False, allow_null=True)
    during = fields.CharField(
        max_length=LONGEST["during"], required=False, allow_blank=True, help_text="Which work."
    )
    note = fields.CharField(max_length=LONGEST["note"], required=False, allow_blank=True)
    client_id = fields.CharField(
        max_length=LONGEST["client_id"],
        required=False,
        allow_null=True,
        help_text="Yours; sent again with the same report it is stored once only, with another it is another.",
    )


class OtherwiseOutput(OutputSerializer):
    """A field that is not stored as it was told."""

    field = serializers.CharField()
    told = serializers.CharField(
        allow_null=True, help_text="Null: it was not told. Of a text that is too long the rest."
    )
    reason = serializers.ChoiceField(choices=tuple(REASONS))
    detail = serializers.SerializerMethodField()

    def get_detail(self, row: Any) -> str:
        return REASONS[row["reason"]]


class ReportOutput(OutputSerializer):
    id = serializers.UUIDField(source="report_id")
    athlete = serializers.UUIDField(source="report.athlete_id")
    athlete_name = serializers.CharField(source="report.athlete.name")
    kind = serializers.CharField(source="report.kind")
    sign = serializers.CharField(source="report.sign", allow_blank=True)
    site = serializers.CharField(source="report.site", allow_blank=True)
    side = serializers.CharField(source="report.side", allow_blank=True)
    severity = serializers.IntegerField(source="report.severity", allow_null=True)
    session = serializers.UUIDField(source="report.session_id", allow_null=True)
    during = serializers.CharField(source="report.during", allow_blank=True)
    note = serializers.CharField(source="report.note", allow_blank=True)
    happened_at = serializers.DateTimeField(source="report.happened_at")
    local_date = serializers.DateField(source="report.local_date")
    taken_otherwise = OtherwiseOutput(
        source="report.taken_otherwise", many=True, help_text="What is not stored as it was told, and why."
    )
    client_id = serializers.CharField(source="report.client_id", allow_null=True)
    reported_by = serializers.UUIDField(source="report.reported_by_id")
    recipient = RecipientOutput(allow_null=True)
    acknowledged_at = serializers.DateTimeField(allow_null=True)
    acknowledged_by = serializers.UUIDField(source="acknowledged_by_id", allow_null=True)
    acknowledgement = serializers.CharField(source="note", allow_blank=True)
    proposed_limitation = serializers.SerializerMethodField()

    def get_proposed_limitation(self, row: ReportReview) -> str | None:
        """The hazard that a limitation may keep away; somebody decides whether to add it."""
        return LIMITED_HAZARDS.get(row.report.site) if row.report.kind == PAIN else None


class CreatedReportOutput(ReportOutput):
    emergency = serializers.SerializerMethodField()
    advice = serializers.SerializerMethodField()
    hold = serializers.SerializerMethodField()

    @extend_schema_field(EmergencyOutput(allow_null=True))
    def get_emergency(self, row: ReportReview) -> Any:
        """What to do now: read it out, do not wait for anybody to answer. Null for pain told to be below 7."""
        if not _is_grave(row.report):
            return None
        said: Emergency = effective_settings(row.report.athlete.location_id).emergency
        return EmergencyOutput(said).data

    @extend_schema_field(serializers.ListField(child=serializers.CharField()))
    def get_advice(self, row: ReportReview) -> list[str]:
        """Guidance that belongs to what was reported."""
        keys = {"dark_urine": ["rhabdomyolysis_signs"], "confusion_or_heat": ["heat"]}
        by_kind = [_about_pain(row.report)] if row.report.kind == PAIN else ["stop_signs"]
        return [text(key) for key in (*keys.get(row.report.sign, []), *by_kind)]

    @extend_schema_field(HoldOutput(allow_null=True))
    def get_hold(self, row: ReportReview) -> Any:
        """The hold that rests on this report now, and who may release it; null where it holds nobody.

        Of several reports of a kind the newest is the cause that is named; it holds for the earlier ones too.
        """
        holds = safeties([row.report.athlete_id], row.report.local_date)[row.report.athlete_id].holds
        mine = [hold for hold in holds if hold.cause == row.report_id]
        if not mine and _is_grave(row.report) and not _is_released(row):
            mine = [hold for hold in holds if hold.code == row.report.kind]
        return HoldOutput(mine[0]).data if mine else None


def _is_released(row: ReportReview) -> bool:
    releases = HoldRelease.objects.filter(athlete_id=row.report.athlete_id)
    return releases.filter(covers__contains=[str(row.report_id)]).exists()


def _is_grave(report: Report) -> bool:
    """Whether it may be an emergency, whatever it is called: who has pain in the chest may report pain."""
    return report.kind == RED_FLAG or is_strong(report.severity)


def _about_pain(report: Report) -> str:
    """The key of the guidance."""
    return "strong_pain" if is_strong(report.severity) else "pain"


class AcknowledgementInput(InputSerializer):
    note = fields.CharField(max_length=500, required=False, allow_blank=True)
