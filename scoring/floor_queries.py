"""Reads of what comes from the floor; each starts at the athletes that the actor may see, and guests."""

from __future__ import annotations

from django.db.models import QuerySet

from athletes.day import visible_with_guests
from scoring.models import Override
from services.tenancy.actor import Actor


def overrides_visible_to(actor: Actor) -> QuerySet[Override]:
    """Every override, ended ones too."""
    return Override.objects.filter(visible_with_guests(actor))
