"""An athlete: what restrains them and who may release it, what they can do and by what it is known, what comes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from athletes.actions.support import local_date
from athletes.api.assessment_views import AssessmentsView, CapacitiesView
from athletes.api.athlete_views import AthleteView, LimitationsView
from athletes.api.safety_views import AthleteHoldsView
from athletes.figures import figure_reader
from athletes.health_reads import LIMITATIONS
from athletes.moments import next_full_hour
from athletes.queries import (
    assessments_visible_to,
    athletes_visible_to,
    capacities_visible_to,
    limitations_visible_to,
)
from athletes.safeties import safeties
from athletes.safety import Safety
from programming.api.session_views import SessionsView
from programming.calc.difference_words import plain
from programming.plans import session_plans
from scoring import queries
from scoring.api.filters import AttemptFilter, PrescriptionFilter
from scoring.api.prescription_views import PrescriptionsView
from scoring.api.result_views import AttemptsView, AttemptView
from scoring.api.serializers import ScoreOutput
from scoring.names import names_of
from scoring.queries import attempts_visible_to, prescriptions_visible_to
from scoring.stored_content import as_current
from scoring.words import HOLDS
from services.access.api.organisation_views import LocationsView
from services.console import answers
from services.console.ability import Ability, Tested, ability_of, tested_of
from services.console.given import expected_said
from services.console.load import LoadPage
from services.console.page import OrganisationPage
from services.console.progression import ProgressionPage
from services.console.results import score_said
from services.console.unfit import why_unfit
from services.console.wellness import WellnessPage
from services.console.words import DASH, local_time, short_day
from services.tenancy.queries import locations_visible_to

MOST: Final = 12
"""Tests and results that are shown, the newest; the interface lists all."""


@dataclass(frozen=True)
class Restraint:
    """A hold in words."""

    what: str
    since: str
    meanwhile: str
    released_by: str


@dataclass(frozen=True)
class Coming:
    """A session that comes; told: its versions, or, without one, the reason."""

    address: str
    brief: str
    title: str
    when: str
    told: str
    without: bool
    expected: str


@dataclass(frozen=True)
class Past:
    address: str
    title: str
    day: str
    score: str
    effort: str


class AthletePage(OrganisationPage):
    shows = (
        *(AthleteView, LocationsView, AthleteHoldsView, LimitationsView, CapacitiesView, AssessmentsView),
        *(SessionsView, PrescriptionsView, AttemptsView, AttemptView),
    )
    place = "athletes"
    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, organisation: UUID, athlete: UUID) -> HttpResponse:
        row = answers.found_or_404(athletes_visible_to(self.member), athlete)
        now = timezone.now()
        today = local_date(now, row.zone)
        safety = safeties([row.id], today)[row.id]
        return self.show(
            "console/athlete.html",
            athlete=row,
            location=locations_visible_to(self.member).get(id=row.location_id).name,
            holds=[
                Restraint(HOLDS[one.code], short_day(one.since), one.safe_alternative, one.released_by)
                for one in safety.holds
            ],
            restraints=list(_restraints(safety)),
            limits=self._limits(row, today),
            abilities=self._abilities(row, now),
            tests=self._tests(row),
            coming=self._coming(row, now),
            past=self._past(row),
            ways=self._ways(row.id),
        )

    def _ways(self, athlete: UUID) -> Sequence[tuple[str, str]]:
        """(title, address) of the pages about the athlete that this reader may open."""
        told = (
            ("Progression", "progression", ProgressionPage),
            ("Load", "athlete-load", LoadPage),
            ("Wellness", "wellness", WellnessPage),
        )
        return [
            (title, self.address(name, athlete)) for title, name, page in told if page.open_to(self.member)
        ]

    def _limits(self, athlete: Any, today: dt.date) -> Sequence[str]:
        """Those that hold today or later."""
        self.note_health(LIMITATIONS, [athlete.id])
        rows = limitations_visible_to(self.member).filter(athlete=athlete).order_by("from_date", "id")
        return [
            f"{plain(one.hazard)}, from {short_day(one.from_date)}"
            + (f" until {short_day(one.until_date)}" if one.until_date else " until it is lifted")
            + (f": {one.note}" if one.note else "")
            for one in rows
            if one.until_date is None or one.until_date >= today
        ]

    def _abilities(self, athlete: Any, now: dt.datetime) -> Sequence[Ability]:
        reader = figure_reader(athlete, next_full_hour(now, athlete.zone))
        rows = capacities_visible_to(self.member).filter(athlete=athlete).order_by("movement__name", "id")
        return [ability_of(row, reader) for row in rows]

    def _tests(self, athlete: Any) -> Sequence[Tested]:
        """The newest, each in the version that holds."""
        rows: QuerySet[Any] = assessments_visible_to(self.member).filter(athlete=athlete)
        rows = rows.filter(replaced_by=None)
        return [tested_of(row) for row in rows.order_by("-performed_at", "-id")[:MOST]]

    def _coming(self, athlete: Any, now: dt.datetime) -> Sequence[Coming]:
        rows = answers.narrowed(
            PrescriptionFilter, prescriptions_visible_to(self.member), athlete=athlete.id, current=True
        )
        found = list(
            rows.filter(session__starts_at__gte=now)
            .select_related("session")
            .order_by("session__starts_at", "id")
        )
        titles = answers.titles_of(self.member, {row.session_id for row in found})
        plans = answers.plans_of([row for row in found if not row.feasible])
        return [self._coming_one(row, titles[row.session_id], plans.get(row.session_id)) for row in found]

    def _coming_one(self, row: Any, title: str, plan: Any) -> Coming:
        content, session = as_current(row.content), row.session
        middle, spread = expected_said(content["expected"])
        told = ", ".join(one["variation_name"] for one in content["work"])
        return Coming(
            address=self.address("session", session.id),
            brief=self.address("brief", row.id),
            title=title,
            when=f"{short_day(session.local_date)}, {local_time(session.starts_at, session.zone)}",
            told=told if row.feasible or plan is None else why_unfit(content, names_of(plan)),
            without=not row.feasible,
            expected=f"{middle} ({spread})" if spread else middle or DASH,
        )

    def _past(self, athlete: Any) -> Sequence[Past]:
        rows = answers.narrowed(
            AttemptFilter, attempts_visible_to(self.member), athlete=athlete.id, current=True
        )
        found = list(rows.order_by("-performed_at", "-id")[:MOST])
        plans = session_plans({row.session_id for row in found})
        titles = answers.titles_of(self.member, plans)
        scores = queries.scores_by_attempt([row.id for row in found])
        return [
            Past(
                address=self.address("session", row.session_id),
                title=titles[row.session_id],
                day=short_day(row.local_date),
                score=_ranked_score(scores[row.id], plans[row.session_id]),
                effort=DASH if row.effort is None else f"{row.effort:g} of 10",
            )
            for row in found
        ]


def _ranked_score(scores: Sequence[Any], plan: Any) -> str:
    """Of the block that the session is ranked by."""
    mine = [row for row in scores if row.block == plan.doc.ranked_block.key]
    return score_said(ScoreOutput(mine[0]).data, names_of(plan)) if mine else "being scored"


def _restraints(safety: Safety) -> Iterator[str]:
    """What is less than usual at present, in sentences."""
    if safety.returning_week is not None:
        yield f"Coming back: week {safety.returning_week}, {round(100 * safety.volume_share)} % of the former volume."
    elif safety.volume_share < 1.0:
        share = round(100 * safety.volume_share)
        yield f"{share} % of the former volume, until somebody has said how long the break was."
    if not safety.to_failure:
        yield "No set is planned to failure."
    yield from safety.notes
