"""One result beside its aim and what was foretold of it, set by set: a picture for each block, and tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpRequest, HttpResponse

from programming.api.session_views import SessionView
from programming.api.template_views import RevisionView
from programming.calc.revision import Block
from programming.plans import SessionPlan, session_plan
from scoring import queries
from scoring.api.prescription_serializers import PrescriptionOutput
from scoring.api.prescription_views import PrescriptionView
from scoring.api.result_views import AttemptView
from scoring.api.serializers import ScoreOutput
from scoring.changes_next import tell_changes
from scoring.names import Names, names_of
from scoring.queries import attempts_visible_to, prescriptions_visible_to
from services.console import answers
from services.console.aim import condition_said
from services.console.charts import drawn
from services.console.page import OrganisationPage
from services.console.results import Outcome, outcome_of, score_said
from services.console.set_by_set import Line, Told, lines_of, told_in_words
from services.console.set_chart import set_chart
from services.console.words import short_day
from services.problems import NotFound

NOTHING_PRESCRIBED: Final = "nothing_prescribed"
NOT_FORETOLD: Final = {
    NOTHING_PRESCRIBED: "Nothing was prescribed for {name} when this was done",
    "infeasible": "No version was found for {name} before this was done",
    "held": "{name} was on hold when this was done",
}
"""By the interface's reason, or ours where there is no prescription at all."""


@dataclass(frozen=True)
class BlockTold:
    """conditions: of the aim in words, how each was held, and what the next prescription changes."""

    name: str
    score: str
    conditions: Sequence[tuple[str, Outcome, str]]
    lines: Sequence[Line]
    told: str
    chart: str
    narrow: str


class OneResult(OrganisationPage):
    shows = (AttemptView, PrescriptionView, SessionView, RevisionView)
    place = "today"
    http_method_names = ["get", "head"]
    attempt: Any
    plan: SessionPlan
    names: Names
    scores: Mapping[str, Mapping[str, Any]]
    given: Mapping[str, Any] | None

    def read(self, attempt: UUID) -> None:
        """The result with its scores and the prescription that it was done under. Raises NotFound."""
        rows = attempts_visible_to(self.member).select_related("athlete")
        self.attempt = answers.found_or_404(rows, attempt)
        self.plan = session_plan(self.attempt.session_id)
        self.names = names_of(self.plan)
        scores = queries.scores_by_attempt([attempt])[attempt]
        tell_changes(self.member, self.attempt, scores)
        self.scores = {row.block: ScoreOutput(row).data for row in scores}
        prescription = prescriptions_visible_to(self.member).filter(id=self.attempt.prescription_id).first()
        self.given = None if prescription is None else PrescriptionOutput(prescription).data

    def told_of(self, block: Block) -> Told:
        given, content = self.given, None if self.given is None else self.given["content"]
        return Told(
            block=block,
            names=self.names,
            plan=[] if content is None else [one for one in content["plan"] if one["block"] == block.key],
            expected=None if content is None else content["expected_by_block"].get(block.key),
            forecast=None if given is None else _forecast(given, block.key, self.plan.doc.ranked_block.key),
            sets=list(_sets_sent(self.attempt.as_sent)),
            score=self.scores[block.key],
            effort=self.attempt.effort,
        )


class ResultPage(OneResult):
    def get(self, request: HttpRequest, organisation: UUID, attempt: UUID) -> HttpResponse:
        self.read(attempt)
        row = self.attempt
        title = answers.titles_of(self.member, [row.session_id])[row.session_id]
        return self.show(
            "console/result.html",
            name=row.athlete.name,
            title=title,
            day=short_day(row.local_date),
            session_address=self.address("session", row.session_id),
            effort="" if row.effort is None else f"{row.effort:g} of 10",
            later="" if row.replaced_by is None else self.address("result", row.replaced_by),
            not_foretold=self._why_not_foretold(),
            blocks=[self._block(block) for block in self.plan.doc.blocks if block.key in self.scores],
        )

    def _why_not_foretold(self) -> str:
        """Why there is neither forecast nor plan, in words; "" where there is."""
        reason = NOTHING_PRESCRIBED if self.given is None else self.given["forecast_reason"]
        return NOT_FORETOLD[reason].format(name=self.attempt.athlete.name) if reason else ""

    def _block(self, block: Block) -> BlockTold:
        told = self.told_of(block)
        panels = told.panels()
        picture = self.address("result-chart", self.attempt.id)
        held = [(at, one, told.outcome(at)) for at, one in enumerate(block.aim.conditions)]
        several = len(self.plan.doc.blocks) > 1
        return BlockTold(
            name=self.names.block(block.key) if several else "",
            score=score_said(self.scores[block.key], self.names),
            conditions=[
                (
                    condition_said(one, block, self.names),
                    outcome_of(outcome or None, block),
                    outcome.get("next", ""),
                )
                for _, one, outcome in held
            ],
            lines=lines_of(panels),
            told=told_in_words(panels),
            chart=f"{picture}?{urlencode({'block': block.key})}" if panels else "",
            narrow=f"{picture}?{urlencode({'block': block.key, 'narrow': 1})}",
        )


class ResultChart(OneResult):
    """The picture of one block, the first without a name."""

    def get(self, request: HttpRequest, organisation: UUID, attempt: UUID) -> HttpResponse:
        self.read(attempt)
        asked = request.GET.get("block") or self.plan.doc.blocks[0].key
        block = self.plan.doc.block(asked)
        panels = self.told_of(block).panels() if block is not None and asked in self.scores else []
        if not panels:
            raise NotFound()
        picture = drawn(set_chart(panels, narrow="narrow" in request.GET))
        return HttpResponse(picture, content_type="image/svg+xml")


def _forecast(given: Mapping[str, Any], block: str, ranked: str) -> Mapping[str, Any] | None:
    """As the interface answers it: of the ranked block beside the content, of every other one in the basis."""
    found: Mapping[str, Any] | None
    found = given["forecast"] if block == ranked else given["basis"].get("forecasts", {}).get(block)
    return found


def _sets_sent(sent: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """Of a result that was sent set by set, in the order in which they were done."""
    for part in sent.get("blocks") or [sent]:
        yield from (part.get("set_log") or {}).get("sets", ())
