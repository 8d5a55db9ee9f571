"""Reads of what comes from the floor; each starts at the athletes that the actor may see, and guests."""

from __future__ import annotations

from django.db.models import QuerySet

from athletes.participation import visible_in_sessions
from scoring.models import Override
from services.tenancy.actor import Actor


def overrides_visible_to(actor: Actor) -> QuerySet[Override]:
    """Every override, ended ones too."""
    return Override.objects.filter(visible_in_sessions(actor))
