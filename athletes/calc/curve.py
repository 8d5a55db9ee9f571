"""Load-repetition curve: L = A + (S - A) e^(-k n) with A = a S.

S is the load at n = 0, k the personal fall-off per repetition, a the share of S that could be moved for ever
(0 for most movements: then ln L falls by k per repetition). Everything is measured from ln S, downwards:
drop(n) = ln S - ln L. It does not depend on S, so with k given the curve stays linear in ln L10.

Form: two-parameter exponential, the published best for 70 to 90 % of the maximum (Mitter et al. 2023, bench
press).
"""

import math

from programming.calc.arrays import compiled


@compiled
def drop(k: float, a: float, n: float) -> float:
    """ln S - ln L of the load that is moved n times; negative n continue the curve above S."""
    if a == 0.0:
        return k * n
    return -math.log(a + (1.0 - a) * math.exp(-k * n))


@compiled
def slope(k: float, a: float, n: float) -> float:
    """Fall of ln L per repetition at n, 1/repetition; it goes to 0 towards the asymptote."""
    if a == 0.0:
        return k
    above = (1.0 - a) * math.exp(-k * n)
    return k * above / (a + above)


@compiled
def repetitions(k: float, a: float, fallen: float) -> float:
    """n of the load with ln S - ln L = fallen; negative above S, infinite at or below the asymptote."""
    if a == 0.0:
        return fallen / k
    above = (math.exp(-fallen) - a) / (1.0 - a)
    if above <= 0.0:
        return math.inf
    return -math.log(above) / k
