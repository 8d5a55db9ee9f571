"""Constants of holds and of critical power that no source gives as they are used: ours, each with its reason."""

from typing import Final

HOLD_METHOD_VERSION: Final = 2
CRITICAL_METHOD_VERSION: Final = 2
"""Raise when the same inputs would give another capacity: stored ones are then computed again."""

# Absence and a changed body mass use the constants of ln L10 (athletes.calc.constants), for these reasons. Holds: the
# load held for a minute is a share of the maximum, so it falls at least as the maximum does; at the general exponent
# 5 % of the load costs a tenth of the time, which covers that endurance falls faster (Bosquet et al. 2013, from
# memory, middling sure). Cyclical: the highest oxygen uptake of trained people falls by 4 to 14 % within four weeks
# and by 6 to 20 % in longer breaks (Mujika & Padilla 2000, Sports Med 30:79-87 and 145-154; from memory, middling
# sure), against 6 % in four weeks and 12 % in eight here. That the reserve falls by the same factor is ours, not
# sure at all: little is published, and one factor leaves the shape of the curve as it was tested.

HOLD_LOG_SD: Final = 0.15
"""Day-to-day SD of ln t of a hold to failure: times repeat within about 10 to 20 % (from memory, medium sure)."""

HOLD_TIMING_S: Final = 1.0
"""A hold is timed by hand in whole seconds: the told time is right to a second either way."""

HOLD_SHORTEST_S: Final = 20.0
"""Below this the law says little: at the maximum itself it still gives 21.9 s (general law of Frey-Law & Avin 2010)
where nobody holds anything. A shorter hold means "near the maximum"; how near, it tells badly."""

HOLD_LONGEST_S: Final = 2100.0
"""Above this there is no forecast: the law's time at a tenth of the maximum, the lowest load that it was fitted
to (21.92 x 0.1^-1.98 s)."""

HOLD_MISFIT_OUTSIDE: Final = 0.4
"""SD of ln t per unit of ln t outside those bounds: a hold of 10 s counts a quarter of a usual one."""

HOLD_MISFIT_SHAPE: Final = 0.2
"""SD of ln t per unit of ln L from the nearest tested load: what a power law with the person's own exponent misses.
The published exponents of six joints differ by 13 %, over one unit of ln L 0.26 in ln t; within one person and
position the law is taken to miss by somewhat less than people and joints differ."""

TRIAL_LOG_SD: Final = 0.025
"""SD of ln of the amount done in an all-out trial, time given: trained people repeat time trials within 1 to 4 %
(from memory, medium sure)."""

TRIAL_SHORTEST_S: Final = 120.0
TRIAL_LONGEST_S: Final = 1200.0
"""The domain of two parameters, 2 to 20 min (usual advice for choosing trials: 2 to 15 min, from memory). A shorter
trial ends before the reserve is spent and is limited by the highest power; a longer one falls below the line, as
fuel, heat and will run out."""

TRIAL_MISFIT_SHORT: Final = 0.25
TRIAL_MISFIT_LONG: Final = 0.10
"""SD of ln of the amount per unit of ln t outside the domain: 0.17 for a trial of one minute, 0.11 for an hour."""

FASTEST_S: Final = 10.0
SLOWEST_S: Final = 14_400.0
"""Forecasts of a trial's time lie between ten seconds and four hours: two parameters say nothing beyond."""

CONTRADICTION_SDS: Final = 3.0
CONTRADICTION_DAYS: Final = 56
"""Two maximal trials within eight weeks contradict each other when the longer one was done at a higher mean power by
more than three SDs of the two: mean power falls with time, whatever the parameters."""

HOLD_DUE_LOG_SD: Final = 0.12
CRITICAL_DUE_LOG_SD: Final = 0.06
"""A test is due when ln L60, or ln of the critical power, is less certain than this. Ours: the time of a hold
to 30 % with 80 % at an exponent of 0.5, twice the spread that one hold leaves; critical power to 8 %, which a pair
of trials tells for some four months."""
