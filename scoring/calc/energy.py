"""A rough range of the energy that a session costs: metabolic equivalents of whole activities, as published.

Compendium of Physical Activities (Ainsworth et al. 2011, from memory): lifting several exercises of 8 to 15
repetitions 3.5 MET, lifting vigorously 6.0; circuits with little rest 4.3 moderately, 8.0 vigorously; rowing on a
machine 4.8 moderately, 12.0 very vigorously. One MET is about 1 kcal an hour for each kilogram of body mass. People
differ by far more than such a table can show, so only the range is told, and as rough.
"""

from math import ceil, floor
from typing import Final

LIFTING: Final = (3.5, 6.0)
CIRCUIT: Final = (4.3, 8.0)
MACHINE: Final = (4.8, 12.0)
LITTLE_REST: Final = 0.4  # of work in work and rest, from which lifting is more of a circuit (ours)
TO_KCAL: Final = 10.0
SECONDS_PER_HOUR: Final = 3600.0


def energy_kcal(work_s: float, rest_s: float, paced_share: float, body_mass_kg: float) -> tuple[float, float]:
    """(from, to) [kcal], outwards in steps of TO_KCAL; of the work, in seconds like the rest, a share is cyclical."""
    whole_s = work_s + rest_s
    lifting = CIRCUIT if whole_s and work_s / whole_s >= LITTLE_REST else LIFTING
    hours = whole_s / SECONDS_PER_HOUR
    low, high = (
        (paced_share * machine + (1.0 - paced_share) * other) * body_mass_kg * hours
        for machine, other in zip(MACHINE, lifting, strict=True)
    )
    return TO_KCAL * floor(low / TO_KCAL + 1e-9), TO_KCAL * ceil(high / TO_KCAL - 1e-9)
