"""What pages about one athlete have in common."""

from __future__ import annotations

import datetime as dt
from typing import Any, ClassVar
from uuid import UUID

from django.utils import timezone

from athletes.actions.support import local_date
from athletes.api.athlete_views import AthleteView
from athletes.queries import athletes_visible_to
from services.api.views import OrganisationView
from services.console import answers
from services.console.page import OrganisationPage


class OneAthletePage(OrganisationPage):
    """Looked at only, below the list of athletes."""

    shows: ClassVar[tuple[type[OrganisationView], ...]] = (AthleteView,)
    place = "athletes"
    http_method_names = ["get", "head"]
    athlete: Any

    def find(self, athlete: UUID) -> dt.date:
        """Whom it is about; the day that it is where they are. Raises NotFound."""
        self.athlete = answers.found_or_404(athletes_visible_to(self.member), athlete)
        return local_date(timezone.now(), self.athlete.zone)
