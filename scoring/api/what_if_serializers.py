"""What something else would come to, in and out."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from programming.calc.extent import MOST_SETS
from programming.calc.revision import UNITS
from scoring.api.floor_serializers import LARGEST_AMOUNT, MOST_WORK
from scoring.api.forecast_serializers import SpreadOutput
from scoring.api.override_serializers import OverrideWorkInput, OverrideWorkOutput
from scoring.api.prescription_serializers import ContentOutput
from scoring.api.profile_serializers import SessionProfileOutput
from scoring.api.report_inputs import MOST_BLOCKS
from scoring.calc.listed_forecast import DOUBTFUL, FAILS, PROBABLE, UNLIMITED
from scoring.listed_notes import CODES
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

LEAST_SHARE = 0.2
LONGEST_REST_S = 900.0
LONGEST_LISTED_REST_S = 14_400.0
LIKELY = [PROBABLE, DOUBTFUL, FAILS, UNLIMITED]


class PacingInput(InputSerializer):
    """In each set this share of what is available, and at least so long after one's own last set of the work.

    An entry of an answer's `pacing` may be sent back as it is, and gives the same numbers.
    """

    block = fields.CharField(max_length=40, required=False, help_text="Without it: every block not named.")
    share = fields.FloatField(min_value=LEAST_SHARE, max_value=1.0)
    rest_s = fields.FloatField(min_value=0.0, max_value=LONGEST_REST_S)
    patience = fields.FloatField(
        min_value=0.0,
        max_value=1.0,
        required=False,
        default=0.0,
        help_text="Rest until this share of the work's first set is there, five of its smallest sets at most;"
        " 0: until the smallest set is.",
    )
    pace = fields.FloatField(
        min_value=0.5,
        max_value=2.0,
        required=False,
        default=1.0,
        help_text="Of cyclical work, as a factor of the critical power.",
    )


class WishedSetInput(InputSerializer):
    """A set: one amount in the unit of its work, after a rest since the end of the set before, whatever its work.

    Of intervals, `interval` tells in which one it is done, from 1; else they follow from the order of the sets.
    """

    work = fields.CharField(max_length=40)
    repetitions = fields.IntegerField(min_value=1, max_value=2000, required=False)
    hold_s = fields.FloatField(min_value=1.0, max_value=86_400.0, required=False)
    distance_m = fields.FloatField(min_value=1.0, max_value=LARGEST_AMOUNT, required=False)
    energy_kcal = fields.FloatField(min_value=1.0, max_value=10_000.0, required=False)
    rest_before_s = fields.FloatField(
        min_value=0.0,
        max_value=LONGEST_LISTED_REST_S,
        error_messages={
            "required": "Send the seconds of rest since the end of the set before it, 0 for none."
        },
    )
    interval = fields.IntegerField(min_value=1, max_value=1000, required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if sum(unit in attrs for unit in UNITS) != 1:
            raise serializers.ValidationError(f"Send exactly one of {', '.join(UNITS)}.", code="one_of")
        return attrs


class WhatIfInput(InputSerializer):
    """Work that is not named stays as the prescription has it; a block without `pacing` is paced as well as may be.

    `plan`, instead of `pacing`: the sets themselves, in order; a block without sets is paced as well as may be. A set
    of which less is there ends at what is there, and what is missing is made up after the planned sets of the round,
    by sets of the usual size and rest; work of a block that has no set in it is done at once, and rounds behind the
    last planned one are done like that one.
    """

    work = fields.ListField(child=OverrideWorkInput(), max_length=MOST_WORK, required=False, default=list)
    pacing = fields.ListField(child=PacingInput(), max_length=MOST_BLOCKS, allow_empty=False, required=False)
    plan = fields.ListField(child=WishedSetInput(), max_length=MOST_SETS, allow_empty=False, required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if "plan" in attrs and "pacing" in attrs:
            raise serializers.ValidationError("Send pacing or plan, not both.", code="one_of")
        return attrs


class AgainstOutput(OutputSerializer):
    """What an override of the same would ask to be acknowledged."""

    code = serializers.CharField()
    sentence = serializers.CharField()


class PacedOutput(OutputSerializer):
    """How a block is paced, not rounded: sent back as `pacing` it gives the same numbers.

    Of a block with a plan it is what came of that, a mean share and the median rest, which no plan follows from.
    """

    block = serializers.CharField()
    share = serializers.FloatField(help_text="Of what is available in each set, 0 to 1.")
    rest_s = serializers.FloatField(help_text="At least, since one's own last set of the work.")
    patience = serializers.FloatField(help_text="The share of the first set that a rest lasts for, 0 to 1.")
    pace = serializers.FloatField(help_text="Factor of the critical power; 1 without cyclical work.")


class ListedOutput(OutputSerializer):
    """What becomes of a set of the plan; `number`: from 1 within its block.

    begun_probability: that it is begun in time at all; there_probability: that it is done as it is written, null
    where nothing is known that limits it. done: what is done of it where it is begun, null where it never is.
    """

    block = serializers.CharField()
    number = serializers.IntegerField()
    work = serializers.CharField()
    amount = serializers.FloatField(help_text="In `unit`.")
    unit = serializers.ChoiceField(choices=UNITS)
    begun_probability = serializers.FloatField()
    there_probability = serializers.FloatField(allow_null=True)
    there_probability_reason = serializers.CharField(allow_null=True)
    likely = serializers.ChoiceField(choices=LIKELY)
    done = SpreadOutput(allow_null=True)
    done_reason = serializers.CharField(allow_null=True)


class SupposedNoteOutput(OutputSerializer):
    """What was done otherwise than it was asked, or beside it; `block`: where."""

    code = serializers.ChoiceField(choices=CODES)
    block = serializers.CharField()
    sentence = serializers.CharField()


class WhatIfOutput(OutputSerializer):
    """content: as a prescription would say it. Nothing of this is stored or prescribed."""

    prescription = serializers.UUIDField(help_text="The one that it was held against.")
    work = OverrideWorkOutput(many=True)
    pacing = PacedOutput(many=True)
    against = AgainstOutput(many=True)
    sets = ListedOutput(many=True, help_text="Of each set of `plan`; empty without one.")
    fails = serializers.ListField(
        child=serializers.CharField(),
        help_text="For each block with a plan, where it probably ends, in a sentence.",
    )
    notes = SupposedNoteOutput(
        many=True,
        help_text="Shares cut, rests made longer, sets put in, rounds repeated; that a plan is done as written.",
    )
    check_sets_dropped = serializers.ListField(
        child=serializers.CharField(), help_text="Work whose check set an override of the same would end."
    )
    content = ContentOutput()
    profile = SessionProfileOutput()
    method_version = serializers.IntegerField()
