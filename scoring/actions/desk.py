"""Everything that an athlete's open prescriptions rest on, read once for all of their sessions.

Before each session is worked out the stamp is asked for (the version of the change): where somebody has written
meanwhile all is read anew, so that nothing is prescribed past a hold or a limit that was there before. What is
written later raises the version again.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from uuid import UUID

from athletes.known import CapacityReader
from athletes.models import Athlete
from athletes.moments import hours_into
from athletes.participation import session_ids_for_athlete
from athletes.queries import AthleteInputs, active_athlete, prescribing_inputs_by_date
from athletes.states import CapacityState
from programming.horizon import PRESCRIBED_AHEAD
from programming.plans import PlanReader, SessionPlan
from scoring.actions.floor import AFTER_START
from scoring.blocks import items_of
from scoring.ground import Ground, read_ground, taken_of


@dataclass(frozen=True)
class Read:
    """plans: of the open sessions, the next one first; inputs: by local date."""

    athlete: Athlete
    plans: tuple[SessionPlan, ...]
    ground: Ground
    inputs: Mapping[dt.date, AthleteInputs]
    capacities: CapacityReader

    def plan(self, session_id: UUID) -> SessionPlan | None:
        """Of one of the open sessions; None where it is not open any more."""
        return next((one for one in self.plans if one.session_id == session_id), None)


class Desk:
    """Reads when it is first asked, and anew when `stamp` answers something else; a failure is not kept."""

    def __init__(
        self, athlete_id: UUID, now: dt.datetime, stamp: Callable[[], object] = lambda: None
    ) -> None:
        self._athlete_id, self._now, self._stamp = athlete_id, now, stamp
        self._open: tuple[object, Athlete | None, list[UUID]] | None = None
        self._stamped: object = None
        self._read: Read | None = None

    def read(self, only: Collection[UUID] | None = None) -> Read | None:
        """What the open sessions rest on; None where there is nothing to prescribe. A fixed number of queries,
        whatever the number of sessions.

        Where that fails, what those of `only` rest on: one that cannot be read takes no other with it.
        """
        stamp = self._stamp()
        if self._read is not None and stamp == self._stamped:
            return self._read
        self._read = None
        athlete, ids = self._open_at(stamp)
        if athlete is None or not ids:
            return None
        try:
            self._read, self._stamped = self._of(athlete, ids), stamp
        except Exception:
            mine = [one for one in ids if only is not None and one in only]
            if not mine or mine == ids:
                raise
            return self._of(athlete, mine)
        return self._read

    def session_ids(self) -> list[UUID]:
        """The athlete's sessions of the next seven days without a result, those that have begun today too; next
        first (three queries).
        """
        return self._open_at(self._stamp())[1]

    def _open_at(self, stamp: object) -> tuple[Athlete | None, list[UUID]]:
        if self._open is None or self._open[0] != stamp:
            self._open = (stamp, *self._open_sessions())
        return self._open[1:]

    def _open_sessions(self) -> tuple[Athlete | None, list[UUID]]:
        athlete = active_athlete(self._athlete_id)
        if athlete is None:
            return None, []
        coming = session_ids_for_athlete(athlete, self._now - AFTER_START, self._now + PRESCRIBED_AHEAD)
        taken = taken_of(athlete.id, coming)
        return athlete, [one for one in coming if one not in taken]

    def _of(self, athlete: Athlete, session_ids: Collection[UUID]) -> Read:
        found = PlanReader().read(session_ids)
        plans = tuple(sorted(found.values(), key=lambda plan: (plan.starts_at, plan.session_id)))
        by_date = prescribing_inputs_by_date([athlete.id], {plan.local_date for plan in plans})
        movements = {movement for plan in plans for movement in movements_of(plan)}
        return Read(
            athlete,
            plans,
            read_ground(athlete.id, {plan.session_id: plan.local_date for plan in plans}),
            {day: inputs[athlete.id] for day, inputs in by_date.items()},
            CapacityReader([athlete.id], movements),
        )


def movements_of(plan: SessionPlan) -> set[UUID]:
    return {plan.movement(item.key).id for _, item in items_of(plan)}


def states_at(
    plan: SessionPlan, athlete_id: UUID, zone: str, capacities: CapacityReader
) -> dict[UUID, CapacityState]:
    """Capacity by movement as known on the session's date, at its start by the clock of the athlete's zone."""
    starts = hours_into(plan.local_date, plan.starts_at, zone)
    found = capacities.at(plan.local_date, starts, movements_of(plan))
    return {movement_id: state for (_, movement_id), state in found.items()}
