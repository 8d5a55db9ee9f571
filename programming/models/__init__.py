from programming.models.movement import LocationKit, Movement, Variation, VariationVersion
from programming.models.session import Revision, ScheduledSession, Template

__all__ = [
    "LocationKit",
    "Movement",
    "Revision",
    "ScheduledSession",
    "Template",
    "Variation",
    "VariationVersion",
]
