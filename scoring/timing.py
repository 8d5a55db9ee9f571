"""Whether a result lies where its session does in time."""

from __future__ import annotations

import datetime as dt
from typing import Final

from programming.plans import SessionPlan
from scoring.calc.finding import Finding

BEFORE: Final = "before_the_session"
LONG_BEFORE: Final = "long_before_session"
EARLY: Final = dt.timedelta(hours=12)
"""Ours: whoever comes to another class of the same day did this session; what is sent further ahead keeps no result
of the session itself out."""
ASKED: Final = dt.timedelta(days=3)
"""Ours: further ahead it is rather a slip of the finger, and is asked about."""
FAR: Final = dt.timedelta(days=6)
"""A session is often done ahead or made up for on another day of the week (common practice, no source); nearly a
whole week away it is rather the same class of another week, picked by mistake."""


def is_early(performed_at: dt.datetime, starts_at: dt.datetime) -> bool:
    """Whether it may be the result of something else, the session itself being still to come."""
    return performed_at < starts_at - EARLY


def timing_findings(performed_at: dt.datetime, plan: SessionPlan) -> tuple[Finding, ...]:
    """What a reviewer should ask; the result counts meanwhile, for none of this speaks against what was done."""
    findings = []
    if plan.is_cancelled:
        detail = "The session was cancelled: ask whether the result belongs to another one."
        findings.append(Finding("session_cancelled", detail))
    if performed_at < plan.starts_at - FAR:
        detail = f"Done more than {FAR.days} days before the session begins: ask which session was meant."
        findings.append(Finding(LONG_BEFORE, detail))
    elif performed_at < plan.starts_at - ASKED:
        detail = f"Done more than {ASKED.days} days before the session begins: ask which session was meant."
        findings.append(Finding(BEFORE, detail))
    if performed_at > plan.starts_at + FAR:
        detail = f"Done more than {FAR.days} days after the session began: ask which session was meant."
        findings.append(Finding("long_after_session", detail))
    return tuple(findings)
