from scoring.models.attempt import Attempt, AttemptNote, OfficialScore, Ranking, Review, SetLog
from scoring.models.balance import BalanceTarget, SessionWork
from scoring.models.forecast_check import ForecastCheck
from scoring.models.on_the_floor import CheckSet, Override, OverrideEnd
from scoring.models.prescription import Prescription

__all__ = [
    "Attempt",
    "AttemptNote",
    "BalanceTarget",
    "CheckSet",
    "ForecastCheck",
    "OfficialScore",
    "Override",
    "OverrideEnd",
    "Prescription",
    "Ranking",
    "Review",
    "SessionWork",
    "SetLog",
]
