"""The invented bodies of the demo: repeatable, plausible, and not the model that estimates them."""

from __future__ import annotations

import ast
import math
from pathlib import Path

import numpy as np
import pytest

from services.demo import generator
from services.demo.generator import Body, Done, Task, do_block, make_body, repetitions_in_test
from services.demo.people import ATHLETES
from services.demo.scene import make_bodies

CAP_S = 1500.0
BODY = Body(
    maxima={"squat": 100.0},
    span=30.0,
    pace_s=2.0,
    refill_s=120.0,
    sink=0.3,
    gain=0.01,
    critical_w=200.0,
    reserve_j=16_000.0,
)


def done(body: Body, fresh: float, *, seed: int, plan: tuple[tuple[int, int], ...] = ()) -> Done:
    tasks = [Task("a", 50, fresh, plan), Task("b", 80, fresh)]
    return do_block(body, tasks, cap_s=CAP_S, rng=np.random.default_rng(seed))


def test_the_same_seed_gives_the_same_people_and_the_same_day() -> None:
    """Nothing but the seed decides: bodies and blocks are equal at every start."""
    assert make_bodies() == make_bodies()
    assert done(BODY, 15.0, seed=3) == done(BODY, 15.0, seed=3)
    assert done(BODY, 15.0, seed=3) != done(BODY, 15.0, seed=4)


def test_repetitions_follow_epley() -> None:
    """With a span of 30 the load of n repetitions is maximum / (1 + n / 30) (Epley 1985; from memory)."""
    for repetitions in (1, 5, 10, 20):
        load = 100.0 / (1.0 + repetitions / 30.0)
        assert BODY.fresh("squat", load) == pytest.approx(repetitions)
    assert BODY.fresh("squat", 120.0) == 0.0


def test_the_curve_is_not_the_one_that_is_estimated() -> None:
    """The estimate has repetitions linear in the log of the load; here equal steps give growing ones."""
    loads = [80.0 * math.exp(-0.2 * step) for step in range(5)]
    steps = np.diff([BODY.fresh("squat", load) for load in loads])
    assert (np.diff(steps) > 0.5).all()


def test_it_knows_nothing_of_the_model() -> None:
    """The generator imports no module of the computation."""
    tree = ast.parse(Path(generator.__file__).read_text())
    named = {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    named |= {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    assert {name.split(".")[0] for name in named} <= {
        "__future__",
        "collections",
        "dataclasses",
        "math",
        "numpy",
        "typing",
    }


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("fresh", [2.0, 8.0, 15.0, 40.0])
def test_a_block_keeps_its_rules(fresh: float, seed: int) -> None:
    """Turn about after every break, no repetition too many, the clock holds all sets and rests, at most the cap."""
    block = done(BODY, fresh, seed=seed)
    left = {"a": 50, "b": 80}
    breaks, clock, wanted = 0, 0.0, "a"
    for one in block.sets:
        assert one.work == wanted
        assert one.repetitions >= 1
        left[one.work] -= one.repetitions
        clock += one.rest_before_s + one.duration_s
        breaks += left[one.work] > 0
        other = "b" if one.work == "a" else "a"
        wanted = other if left[other] else one.work
    assert min(left.values()) >= 0
    assert block.finished == (max(left.values()) == 0)
    assert block.breaks == breaks
    assert block.elapsed_s <= CAP_S
    assert clock <= block.elapsed_s + len(block.sets)  # rests are written in whole seconds


def test_a_plan_is_followed_as_far_as_the_body_goes() -> None:
    """A modest planned set is done as planned, with its rest; one beyond the body ends in failure."""
    modest = done(BODY, 20.0, seed=1, plan=((7, 0), (5, 90)))
    mine = [one for one in modest.sets if one.work == "a"]
    assert [one.repetitions for one in mine[:2]] == [7, 5]
    assert mine[1].rest_before_s >= 90
    beyond = done(BODY, 10.0, seed=1, plan=((40, 0),)).sets[0]
    assert beyond.ended_by == "failure"
    assert 6 <= beyond.repetitions <= 14


def test_the_cast_differs_widely() -> None:
    """The strongest does several times the push-ups of the median, the weakest none: a session for all is hard."""
    bodies = make_bodies()
    fresh = sorted(bodies[one.name].fresh("push_up", 0.64 * one.mass_kg) for one in ATHLETES)
    assert fresh[0] == 0.0
    assert fresh[-1] > 3.0 * fresh[len(fresh) // 2] > 0.0


def test_tests_scatter_around_the_truth() -> None:
    """The mean of many tests lies within half a repetition below the truth (whole repetitions are counted)."""
    rng = np.random.default_rng(5)
    seen = [repetitions_in_test(20.0, rng) for _ in range(2000)]
    assert 19.2 < np.mean(seen) < 20.1


def test_strength_scales_with_the_levels() -> None:
    """Twice the level is twice the maximum, with the same chance."""
    weak, strong = (
        make_body(70.0, upper=level, lower=1.0, engine=1.0, gain=0.0, rng=np.random.default_rng(1))
        for level in (1.0, 2.0)
    )
    assert strong.maxima["push_up"] == pytest.approx(2.0 * weak.maxima["push_up"])
    assert strong.maxima["squat"] == weak.maxima["squat"]
