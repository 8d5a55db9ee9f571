from athletes.models.athlete import Athlete, BodyMass, Limitation
from athletes.models.capacity import Assessment, Capacity, Observation, PriorSnapshot
from athletes.models.group_member import GroupMember

__all__ = [
    "Assessment",
    "Athlete",
    "BodyMass",
    "Capacity",
    "GroupMember",
    "Limitation",
    "Observation",
    "PriorSnapshot",
]
