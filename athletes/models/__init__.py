from athletes.models.athlete import Athlete, BodyMass, Limitation
from athletes.models.capacity import Assessment, Capacity, Observation, PriorSnapshot

__all__ = [
    "Assessment",
    "Athlete",
    "BodyMass",
    "Capacity",
    "Limitation",
    "Observation",
    "PriorSnapshot",
]
