from scoring.models.attempt import Attempt, OfficialScore, Ranking, Review, SetLog
from scoring.models.prescription import Prescription

__all__ = ["Attempt", "OfficialScore", "Prescription", "Ranking", "Review", "SetLog"]
