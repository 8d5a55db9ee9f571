"""What an override, or a what-if, is worked out from, and what speaks against it. No writes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from athletes.day import AS_USUAL, Day
from athletes.queries import AthleteInputs, prescribing_inputs
from athletes.states import CapacityState
from programming.plans import SessionPlan, session_plan
from scoring.beyond import beyond_capacity
from scoring.errors import PrescriptionSuperseded
from scoring.ground import Ground, read_ground
from scoring.models import Prescription
from scoring.of_the_person import of_the_person
from scoring.overriding import Chosen, concerns
from scoring.restraint import Restraint, restraint_of
from scoring.stored_content import as_current
from scoring.worked_out import worked_out


@dataclass(frozen=True)
class Seen:
    """Two that are equal give the same."""

    plan: SessionPlan
    ground: Ground
    inputs: AthleteInputs

    @property
    def day(self) -> Day:
        return self.ground.days.get(self.plan.session_id, AS_USUAL)

    @property
    def restraint(self) -> Restraint:
        return restraint_of(self.plan, self.inputs.safety)

    def concerns(self, chosen: Sequence[Chosen]) -> dict[str, str]:
        """What speaks against it beside the athlete's capacity and person: codes, each with a sentence."""
        return concerns(self.plan, self.inputs, self.day, chosen, self.restraint)

    def beyond(self, chosen: Sequence[Chosen], states: Mapping[UUID, CapacityState]) -> dict[str, str]:
        """What is more than the athlete can probably do at all."""
        return beyond_capacity(self.plan, chosen, states, self.inputs.safety, self.ground.variations)

    def of_the_person(self, prescription: Prescription, chosen: Sequence[Chosen]) -> dict[str, str]:
        """What of the person speaks against more than the calculation gave last (one query at most)."""
        content = as_current(worked_out(prescription))
        return of_the_person(self.plan, content, self.inputs, chosen, self.ground.variations)


def see(prescription: Prescription) -> Seen:
    athlete_id, session_id = prescription.athlete_id, prescription.session_id
    plan = session_plan(session_id)
    inputs = prescribing_inputs([athlete_id], plan.local_date)[athlete_id]
    return Seen(plan, read_ground(athlete_id, {session_id: plan.local_date}), inputs)


def refuse_superseded(prescription: Prescription) -> None:
    """Raise PrescriptionSuperseded where another prescription holds by now (one query)."""
    later = Prescription.objects.filter(
        session_id=prescription.session_id,
        athlete_id=prescription.athlete_id,
        number__gt=prescription.number,
    )
    if later.exists():
        raise PrescriptionSuperseded()
