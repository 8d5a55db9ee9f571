"""Published values of strength and strength endurance, with source and how sure each one is.

P: read in the paper's abstract or text. S: read in a secondary text only. MEM-H / MEM-M: from memory, high or
medium confidence. DERIVED: arithmetic from the named values.
"""

import math
from collections.abc import Callable

EBBEN_2011_FRACTIONS = {
    # Ebben et al. 2011, J Strength Cond Res 25(10):2891-2894, peak vertical ground reaction force / mass.
    # Order: P (abstract). Coefficients: MEM-H.
    "hands_60": 0.41,
    "knees": 0.49,
    "hands_30": 0.55,
    "floor": 0.64,
    "feet_30": 0.70,
    "feet_60": 0.74,
}
EBBEN_2011_HEIGHTS_CM = ((-60.96, 0.74), (-30.48, 0.70), (0.0, 0.64), (30.48, 0.55), (60.96, 0.41))

SUPRAK_2011_PERCENT = {
    # Suprak, Dawes & Stephenson 2011, J Strength Cond Res 25(2):497-503, static, % of body mass. MEM-H.
    "regular_up": 69.16,
    "regular_down": 75.04,
    "knees_up": 53.56,
    "knees_down": 61.80,
}
MELROSE_DAWES_2015_PERCENT = {
    # Melrose & Dawes 2015, J Athl Enhancement, abstract 3265, degrees from the vertical:
    # (mean, SD) in % of body mass. P.
    30.0: (37.44, 1.45),
    45.0: (52.88, 0.59),
    60.0: (68.08, 1.95),
    75.0: (79.38, 2.14),
}

ONE_RM_EQUATIONS: dict[str, Callable[[float], float]] = {
    # 1RM in units of the load lifted r times. Coefficients: S (two independent compilations agree) and MEM-H.
    "Epley 1985": lambda r: 1 + r / 30,
    "Brzycki 1993": lambda r: 36 / (37 - r),
    "Lander 1985": lambda r: 100 / (101.3 - 2.67123 * r),
    "Lombardi 1989": lambda r: r**0.10,
    "Mayhew 1992": lambda r: 100 / (52.2 + 41.9 * math.exp(-0.055 * r)),
    "O'Conner 1989": lambda r: 1 + 0.025 * r,
    "Wathan 1994": lambda r: 100 / (48.8 + 53.8 * math.exp(-0.075 * r)),
}

NUZZO_2024_BENCH = {
    # Nuzzo, Pinto, Nosaka & Steele 2024, Sports Med 54(2):303-321: % of 1RM -> (mean repetitions, 95 % CI).
    # Numbers: S. No interval was read at 90 %.
    70: (14.1, 12.4, 16.1),
    80: (8.8, 7.7, 10.1),
    90: (4.0, None, None),
}
# The next three: same source, S.
NUZZO_2024_LEG_PRESS = {70: (19.0, 14.2, 25.5), 80: (13.1, 9.8, 17.5), 90: (9.0, None, None)}
NUZZO_2024_GENERAL = {70: 15.0, 90: 5.0}  # "about"
NUZZO_2024_SD = {80: 2.51, 60: 4.36}  # between people, general model

HALPERIN_2022_UNDERPREDICTION = (0.95, 0.17, 1.73)
"""Halperin et al. 2022, Sports Med 52:377-390: repetitions by which the rest is underrated (95 % CI). P."""

DURBIN_KOOPMAN_NILE = {"irregular": 15099.0, "level": 1469.1}
"""Variances of the Nile flow; Durbin & Koopman, Time Series Analysis by State Space Methods. MEM-H."""
