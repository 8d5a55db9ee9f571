"""What another version, amount, way of pacing or list of sets would come to for an athlete. Nothing is stored."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from scoring.actions.override_work import Wish, set_work_up, whole_work
from scoring.actions.prescriptions import states_of
from scoring.basis import tempos
from scoring.calc.listed_forecast import SetThere
from scoring.calc.next_set import Policy
from scoring.calc.pacing import BELOW_FAILURE_SHARE, Way
from scoring.content import Setting, content_of
from scoring.errors import HeldForSafety
from scoring.listed import WishedSet, lists_of, where_it_fails
from scoring.listed_notes import Note, all_notes
from scoring.models import Attempt, Prescription
from scoring.names import names_of
from scoring.of_the_person import unlikely_at_age
from scoring.overriding import Named, held_by
from scoring.paced import WishedPacing, policies_of, policy_told
from scoring.profiled import SessionProfile, profile_of_plan
from scoring.restraint import Restraint
from scoring.seen import refuse_superseded, see
from scoring.stored_content import as_current
from scoring.working_out import work_out

RESULT_STORED: Final = "result_stored"
RESULT_STORED_SAID: Final = (
    "The athlete's result of this session is stored: this looks back, and no override is made."
)


@dataclass(frozen=True)
class Supposed:
    """work: one version of every item; content: as a prescription would say it; against: what an override of it would
    ask to be acknowledged, by code; pacing: by block, as it was taken where nothing may go to failure, or as it came
    of a plan; check_sets_dropped: work whose check set an override
    would end. listed: by block what becomes of each set of a plan, fails: in a sentence where it probably ends;
    notes: what was made of what was asked.
    """

    prescription: Prescription
    work: tuple[Named, ...]
    content: Mapping[str, Any]
    against: Mapping[str, str]
    pacing: Mapping[str, Policy]
    check_sets_dropped: tuple[str, ...]
    profile: SessionProfile
    listed: Mapping[str, Sequence[SetThere]]
    fails: Sequence[str]
    notes: Sequence[Note]


def suppose(
    prescription: Prescription,
    wish: Wish,
    pacing: Sequence[WishedPacing] = (),
    sets: Sequence[WishedSet] = (),
) -> Supposed:
    """Work that is not named stays as the prescription has it; a block of which neither pacing nor sets are told is
    paced as well as may be.

    Raises Invalid for what cannot be set up, PrescriptionSuperseded, and HeldForSafety after pain or a warning sign:
    nobody is to read then what might be done.
    """
    seen = see(prescription)
    plan, day = seen.plan, seen.day
    _refuse_held(seen.concerns(()))
    refuse_superseded(prescription)
    work = whole_work(plan, prescription.content, wish)
    chosen = set_work_up(plan, seen.inputs, day, work, wish.work)
    states = states_of(plan, prescription.athlete_id, seen.inputs.zone)
    against = seen.concerns(chosen) | seen.beyond(chosen, states) | seen.of_the_person(prescription, chosen)
    known = seen.ground.known(plan.session_id, states)
    wished, lists = policies_of(plan, pacing), lists_of(plan, work, sets)
    taken = _taken(wished, seen.restraint)
    ways: dict[str, Way] = {**taken, **lists}
    worked = work_out(plan, seen.inputs, known, day, work, pacing=ways)
    against |= unlikely_at_age(plan, seen.inputs.safety, worked) | _result_stored(prescription)
    content = content_of(plan, seen.inputs, worked, Setting(day))
    forecasts = {key: one.forecast for key, one in worked.results.items()}
    return Supposed(
        prescription,
        tuple(work),
        as_current(content),
        against,
        {key: policy_told(one) for key, one in forecasts.items() if one is not None},
        tuple(one["work"] for one in prescription.content["check_sets"]),
        profile_of_plan(plan, prescription.athlete_id, content, forecasts, tempos(plan, seen.inputs, worked)),
        {key: one.listed for key, one in forecasts.items() if one is not None and one.listed},
        where_it_fails(forecasts, names_of(plan)),
        all_notes(plan, wished, taken, lists),
    )


def _taken(policies: Mapping[str, Policy], restraint: Restraint) -> dict[str, Policy]:
    """By block, no set to failure of somebody who must not."""
    if restraint.to_failure:
        return dict(policies)
    return {key: one._replace(share=min(one.share, BELOW_FAILURE_SHARE)) for key, one in policies.items()}


def _result_stored(prescription: Prescription) -> dict[str, str]:
    """That the session has been done, so that no override is made any more (one query)."""
    done = Attempt.objects.filter(session_id=prescription.session_id, athlete_id=prescription.athlete_id)
    return {RESULT_STORED: RESULT_STORED_SAID} if done.exists() else {}


def _refuse_held(against: Mapping[str, str]) -> None:
    if held := held_by(against):
        raise HeldForSafety(errors=held)
