from programming.models.group import Group
from programming.models.local_version import LocalVersion
from programming.models.movement import LocationKit, Movement, Variation, VariationVersion
from programming.models.session import Revision, ScheduledSession, Template

__all__ = [
    "Group",
    "LocalVersion",
    "LocationKit",
    "Movement",
    "Revision",
    "ScheduledSession",
    "Template",
    "Variation",
    "VariationVersion",
]
