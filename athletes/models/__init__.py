from athletes.models.athlete import Athlete, BodyMass, Limitation
from athletes.models.capacity import Assessment, Capacity, Observation, PriorSnapshot, Tempo, Tiring
from athletes.models.day_change import DayChange, DayChangeEnd
from athletes.models.group_member import GroupMember
from athletes.models.health_read import HealthRead
from athletes.models.heart_rates import HeartRates
from athletes.models.load import LoadDay, LoadSummary, RestDay, TrainingLog
from athletes.models.safety import (
    Absence,
    AbsenceAnswer,
    HoldRelease,
    Report,
    ReportReview,
    SafetySettings,
    Screening,
    ScreeningVoid,
    StaffHold,
    WorkDone,
)
from athletes.models.wellness import WellnessAnswer, WellnessForm

__all__ = [
    "Absence",
    "AbsenceAnswer",
    "Assessment",
    "Athlete",
    "BodyMass",
    "Capacity",
    "DayChange",
    "DayChangeEnd",
    "GroupMember",
    "HealthRead",
    "HeartRates",
    "HoldRelease",
    "Limitation",
    "LoadDay",
    "LoadSummary",
    "Observation",
    "PriorSnapshot",
    "Report",
    "ReportReview",
    "RestDay",
    "SafetySettings",
    "Screening",
    "ScreeningVoid",
    "StaffHold",
    "Tempo",
    "Tiring",
    "TrainingLog",
    "WellnessAnswer",
    "WellnessForm",
    "WorkDone",
]
