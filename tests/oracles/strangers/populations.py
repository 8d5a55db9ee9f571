"""People to hold an estimator against who were not made by it.

Three populations, which differ from each other in the curve of load and repetitions, in fatigue within a session and
in noise. They were written from published figures alone, by somebody who had not read this project's methods, and
import nothing of it; keep it so: a generator that is fitted to the estimator shows nothing.

    rng = np.random.default_rng(7)
    for stranger in POPULATIONS["first"](rng, 500):
        for session in history(rng, stranger):
            ...  # session.began, .kind, .plan, .log.sets, .log.score_s

A log is what a coach sees. What nobody sees is on the stranger: `maximum_kg`, `fresh_count(movement, kg, form)`,
`load_for(movement, reps)`, `calm()` (the same person without noise), and on the session its `form`.
"""

from tests.oracles.strangers import first, second, third
from tests.oracles.strangers.histories import Session, history
from tests.oracles.strangers.movements import (
    BENCH_PRESS,
    LAT_PULL,
    LEG_PRESS,
    MOVEMENTS,
    OVERLAP,
    SHOULDER_PRESS,
)
from tests.oracles.strangers.performing import perform
from tests.oracles.strangers.plans import (
    FAILURE,
    PLANNED,
    Amount,
    Rounds,
    SessionLog,
    SetLog,
    SetPlan,
    Straight,
    Swap,
    as_planned,
    to_failure,
)
from tests.oracles.strangers.stranger import Form, Stranger

POPULATIONS = {one.NAME: one.population for one in (first, second, third)}

__all__ = [
    "BENCH_PRESS",
    "FAILURE",
    "LAT_PULL",
    "LEG_PRESS",
    "MOVEMENTS",
    "OVERLAP",
    "PLANNED",
    "POPULATIONS",
    "SHOULDER_PRESS",
    "Amount",
    "Form",
    "Rounds",
    "Session",
    "SessionLog",
    "SetLog",
    "SetPlan",
    "Straight",
    "Stranger",
    "Swap",
    "as_planned",
    "history",
    "perform",
    "to_failure",
]
