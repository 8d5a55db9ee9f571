"""The movements of the strangers and how far fatigue of one reaches another."""

BENCH_PRESS = "bench_press"
SHOULDER_PRESS = "shoulder_press"
LEG_PRESS = "leg_press"  # squat-like; chosen over the squat because its counts are published
LAT_PULL = "lat_pull"
MOVEMENTS = (BENCH_PRESS, SHOULDER_PRESS, LEG_PRESS, LAT_PULL)

#: Part of the fatigue of the first that the second feels; the same both ways. Invented in size. In direction: the
#: presses share triceps and front shoulder, and antagonist pairs hardly disturb each other (Robbins, Young & Behm
#: 2010, P; Maia et al. 2014, P).
OVERLAP = {
    frozenset((BENCH_PRESS, SHOULDER_PRESS)): 0.55,
    frozenset((BENCH_PRESS, LAT_PULL)): 0.05,
    frozenset((SHOULDER_PRESS, LAT_PULL)): 0.10,
    frozenset((BENCH_PRESS, LEG_PRESS)): 0.02,
    frozenset((SHOULDER_PRESS, LEG_PRESS)): 0.05,
    frozenset((LAT_PULL, LEG_PRESS)): 0.03,
}


def transfers(scale):
    """`{movement: ((other, part felt), …)}` of a person who feels `scale` times the overlaps above."""
    return {
        one: tuple((other, scale * OVERLAP[frozenset((one, other))]) for other in MOVEMENTS if other != one)
        for one in MOVEMENTS
    }
