"""Published values of holds, critical power and the recovery of its reserve, with how sure each one is.

S: read in a secondary text only. MEM-H: from memory, high confidence. DERIVED: arithmetic from the named values.
"""

FREY_LAW_2010_GENERAL = (21.92, -1.98)
"""Frey-Law & Avin 2010, Ergonomics 53:109-129: seconds of endurance b0 TL^b1 at a share TL of the maximal voluntary
contraction, all joints together. S and MEM-H."""

FREY_LAW_2010_JOINTS = {
    # The same, by joint: (b0, b1). S and MEM-H.
    "ankle": (34.71, -2.06),
    "knee": (19.38, -1.88),
    "trunk": (22.69, -2.27),
    "shoulder": (14.86, -1.83),
    "elbow": (17.98, -2.21),
    "grip": (33.55, -1.61),
}

FREY_LAW_2010_SECONDS = {0.3: 237.8, 0.5: 86.5, 0.7: 44.4}
"""DERIVED from the general law: share of the maximum and seconds."""

CAEN_2021_RESERVE_J = 19_200.0
CAEN_2021_CRITICAL_W = 269.0
CAEN_2021_RECOVERY_W = 161.0
CAEN_2021_RECOVERED = {30: (28.6, 8.2), 60: (34.8, 11.1), 120: (44.2, 9.7), 600: (73.7, 19.3)}
"""Caen et al. 2021: seconds at the recovery power after exhaustion -> % of W' restored (mean, SD). S: a copy
by Weigend et al. 2021, the paper itself was not read."""

FERGUSON_2010_RESERVE_J = 21_600.0
FERGUSON_2010_CRITICAL_W = 212.0
FERGUSON_2010_RECOVERY_W = 20.0
FERGUSON_2010_RECOVERED = {120: (37.0, 5.0), 360: (65.0, 6.0), 900: (86.0, 4.0)}
"""Ferguson et al. 2010, J Appl Physiol: the same, at 20 W. S: the same copy."""

BALANCE_BY_HAND_J = 14_835.75
"""DERIVED: CP 250 W, W' 20 kJ; 60 s at 350 W leave 14 000 J, then 30 s at 150 W: 20 000 - 6 000 e^(-0.15)."""
