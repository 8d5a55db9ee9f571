"""What is left of the work above the sustainable rate, in differential form, closed for constant power.

Above the critical power CP the reserve W' is spent, dB/dt = -(P - CP). At or below it what is missing comes back,
dB/dt = (W' - B)(CP - P) / W', so over a piece of constant power

    B(t) = W' - (W' - B) exp(-t (CP - P) / W')

Published as the differential form of the W' balance (Skiba & Clarke 2021, Int J Sports Physiol Perform
16(11):1561-1572; equation read in secondary texts). The same with speed: CP in m/s, W' in m, P in m/s. Recovery is
known to be faster at first and slower later than this single exponential: over one to two minutes it is close to
what was measured, over many minutes it gives back too much. Units: any that agree; nothing is allocated. This is the
only place of the formula: what plans cyclical work in a session (``scoring.calc.engine``) calls it as well.
"""

import math

from programming.calc.arrays import inlined


@inlined
def drain(balance: float, critical: float, reserve: float, power: float, seconds: float) -> float:
    """The balance after `seconds` at constant `power`; negative: more was spent than there was.

    A reserve of 0 or less cannot be refilled: it stays as it is at or below the critical power.
    """
    if power > critical:
        return balance - (power - critical) * seconds
    if reserve <= 0.0:
        return balance
    return reserve - (reserve - balance) * math.exp(-seconds * (critical - power) / reserve)


@inlined
def seconds_until_empty(balance: float, critical: float, power: float) -> float:
    """How long `power` can be kept up from this balance: infinite at or below the critical power, whatever is left;
    above it 0 when empty.
    """
    if power <= critical:
        return math.inf
    return max(0.0, balance / (power - critical))


@inlined
def seconds_to_refill(balance: float, wanted: float, critical: float, reserve: float) -> float:
    """How long standing still takes from this balance to the wanted one: 0 when it is there, infinite for a full
    reserve, which is reached never.
    """
    if balance >= wanted:
        return 0.0
    if wanted >= reserve:
        return math.inf
    return math.log((reserve - balance) / (reserve - wanted)) * reserve / critical
