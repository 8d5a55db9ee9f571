"""What the routes about the shipped catalogue and about equipment read and write."""

from __future__ import annotations

from rest_framework import serializers

from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer

MOST_MOVEMENTS = 500


class EntryDifferenceOutput(OutputSerializer):
    """One field of an entry, in words; null where it says nothing."""

    field = serializers.CharField()
    here = serializers.CharField(allow_null=True)
    shipped = serializers.CharField(allow_null=True)


class VariationUpdateOutput(OutputSerializer):
    """A variation that is shipped differently; without `id` where the organisation does not have it."""

    id = serializers.UUIDField(allow_null=True)
    key = serializers.CharField()
    name = serializers.CharField()
    differences = EntryDifferenceOutput(many=True)


class MovementUpdateOutput(OutputSerializer):
    """A movement of which something is shipped differently; without `id` where it is new."""

    id = serializers.UUIDField(allow_null=True)
    key = serializers.CharField()
    name = serializers.CharField()
    pattern = serializers.CharField()
    differences = EntryDifferenceOutput(many=True)
    variations = VariationUpdateOutput(many=True)


class CatalogueUpdatesOutput(OutputSerializer):
    items = MovementUpdateOutput(many=True)


class TakeUpInput(InputSerializer):
    movements = fields.ListField(
        child=fields.CharField(max_length=60),
        min_length=1,
        max_length=MOST_MOVEMENTS,
        help_text="Keys of the movements that are to become what is shipped, with their variations.",
    )


class TakenUpOutput(OutputSerializer):
    """What was done; a movement in which nothing was shipped differently is not listed."""

    movements = serializers.ListField(child=serializers.CharField())
    variations_added = serializers.IntegerField()
    versions_added = serializers.IntegerField()


class EquipmentOutput(OutputSerializer):
    """A name that a kit may use; which lists of settings make sense there, and what asks for it."""

    item = serializers.CharField()
    settings = serializers.ListField(
        child=serializers.ChoiceField(choices=("loads_kg", "assistances_kg", "heights_cm", "pairs_kg")),
        help_text="Lists of the kit that a variation reads; none where it is enough that the item is there.",
    )
    needed_by = serializers.ListField(
        child=serializers.CharField(), help_text="Keys of variations that are not offered without it."
    )
    used_by = serializers.ListField(
        child=serializers.CharField(), help_text="Keys of variations that can use it and do without."
    )


class EquipmentListOutput(OutputSerializer):
    items = EquipmentOutput(many=True)
