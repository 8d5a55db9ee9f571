"""The warm-up of a prescription uses every load of the place, not those near the working load alone."""

from dataclasses import replace

import numpy as np

from athletes.calc.capacity import Observation, estimate_capacity
from programming.calc.revision import Aim, Condition
from scoring.working_out import Known, work_out
from tests.scoring.test_candidates import ACCOMPANIED, SAFE, plan

LOADS = [float(kg) for kg in np.arange(20.0, 160.1, 2.5)]


def test_a_heavy_squat_is_led_up_to_from_far_below():
    """57 loads, 24 of them near the window: the ramp begins at about 40 % of the working load all the same."""
    session = plan("back_squat", items=SAFE | {"barbell": {"loads_kg": LOADS}})
    squat, row = session.doc.blocks[0].work
    block = replace(
        session.doc.blocks[0],
        work=(replace(squat, amount=12.0), row),
        aim=Aim((Condition("first_set", "a", 3.0, 6.0),)),
    )
    session = replace(session, doc=replace(session.doc, blocks=(block,)))
    seen = {
        "back_squat": Observation(0, 120.0, 6.0, "to_failure"),
        "horizontal_row": Observation(0, 40.0, 15.0, "rir", 2.0),
    }
    capacities = {
        one.id: estimate_capacity(one.prior.at(80.0), [seen[one.key]] * 3, day=0)
        for one in (session.movement("a"), session.movement("b"))
    }
    worked = work_out(session, ACCOMPANIED, Known(capacities))

    result = worked.results["main"]
    assert result.feasible
    working = next(one.option.load_kg for one in result.chosen if one.work == "a")
    ramp = [one.option.load_kg for one in result.warm_up if one.work == "a"]
    assert working > 110.0
    assert ramp[0] <= 0.45 * working
    assert all(near <= 0.25 * working for near in np.diff([*ramp, working]))
