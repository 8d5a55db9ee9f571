"""What something else would come to, in and out."""

from __future__ import annotations

from rest_framework import serializers

from scoring.api.floor_serializers import MOST_WORK
from scoring.api.override_serializers import OverrideWorkInput, OverrideWorkOutput
from scoring.api.prescription_serializers import ContentOutput
from scoring.api.profile_serializers import SessionProfileOutput
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

LEAST_SHARE = 0.2
LONGEST_REST_S = 900.0


class PacingInput(InputSerializer):
    """In each set this share of what is available, and at least so long after one's own last set of the work."""

    share = fields.FloatField(min_value=LEAST_SHARE, max_value=1.0)
    rest_s = fields.FloatField(min_value=0.0, max_value=LONGEST_REST_S)


class WhatIfInput(InputSerializer):
    """Work that is not named stays as the prescription has it; without `pacing` it is paced as well as may be."""

    work = fields.ListField(child=OverrideWorkInput(), max_length=MOST_WORK, required=False, default=list)
    pacing = PacingInput(required=False)


class AgainstOutput(OutputSerializer):
    """What an override of the same would ask to be acknowledged."""

    code = serializers.CharField()
    sentence = serializers.CharField()


class PacedOutput(OutputSerializer):
    """How a block is paced: the share of what is available in each set (0 to 1), and the rest in seconds."""

    block = serializers.CharField()
    share = serializers.FloatField()
    rest_s = serializers.FloatField()


class WhatIfOutput(OutputSerializer):
    """content: as a prescription would say it. Nothing of this is stored or prescribed."""

    prescription = serializers.UUIDField(help_text="The one that it was held against.")
    work = OverrideWorkOutput(many=True)
    pacing = PacedOutput(many=True)
    against = AgainstOutput(many=True)
    check_sets_dropped = serializers.ListField(
        child=serializers.CharField(), help_text="Work whose check set an override of the same would end."
    )
    content = ContentOutput()
    profile = SessionProfileOutput()
    method_version = serializers.IntegerField()
