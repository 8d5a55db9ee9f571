"""What may go wrong with holds and absences.

Conflict             409
├── AbsenceAlreadyAnswered  absence_already_answered
├── AbsenceReleased         absence_released
├── AlreadyAcknowledged     already_acknowledged
└── ReportNotAcknowledged   report_not_acknowledged
Forbidden            403
├── OwnHold                 own_hold
├── OwnReport               own_report
└── NotYourHold             not_your_hold
"""

from __future__ import annotations

from services.problems import Conflict, Forbidden


class AbsenceAlreadyAnswered(Conflict):
    """Somebody has already said what became of this absence, and it was something else."""

    code = "absence_already_answered"
    remedy = "Read the absence; staff can release its hold with a reason, or report another absence."


class AbsenceReleased(Conflict):
    """The question is released already, by a person or by training that was logged, so confirming it does nothing."""

    code = "absence_released"
    remedy = "Report the absence as you know it; no log takes back an absence that was reported."


class AlreadyAcknowledged(Conflict):
    """Somebody else has already acknowledged this report."""

    code = "already_acknowledged"
    remedy = "Read the report: it names who has taken it on."


class ReportNotAcknowledged(Conflict):
    """A sign of an emergency is released only once somebody has said that they have seen the report of it."""

    code = "report_not_acknowledged"
    remedy = "Acknowledge the reports that `errors` names (POST …/reports/{report}/acknowledgements) and try again."


class OwnHold(Forbidden):
    """Nobody releases a hold on themselves, prescribes past it or ceases to be the one held, whatever their role."""

    code = "own_hold"
    remedy = "Ask an owner, a coach or staff of the location."


class OwnReport(Forbidden):
    """Nobody acknowledges a report about themselves, or leaves it behind, whatever their role: another is to look."""

    code = "own_report"
    remedy = "Ask an owner, another coach or staff of the location."


class NotYourHold(Forbidden):
    """Only who may release a hold of this kind releases it, or prescribes past it."""

    code = "not_your_hold"
    remedy = "Ask an owner or a coach; the hold says who may release it."
