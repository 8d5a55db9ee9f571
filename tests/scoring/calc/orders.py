"""Invented blocks of every order, for the tests of the simulation."""

from hypothesis import strategies as st

from programming.calc.revision import (
    Aim,
    AsWritten,
    Block,
    BlockRules,
    BreakRule,
    EndRule,
    Intervals,
    Ladder,
    WorkItem,
)

WRITTEN = AsWritten("any")


def item(key, amount, unit="repetitions", movement=None):
    """A work item of a movement of its own."""
    return WorkItem(key, movement or f"movement_{key}", amount, WRITTEN, unit=unit)


def whole(least, most):
    """Whole amounts."""
    return st.integers(least, most).map(float)


@st.composite
def break_rules(draw, order):
    """A break rule that the order allows, with one of the penalties."""
    counts = {
        "swap_on_break": ["set_ended_early"],
        "intervals": ["none", "missed_interval", "set_ended_early"],
    }
    kind = draw(st.sampled_from(counts.get(order, ["none", "set_ended_early", "rest_longer_than"])))
    penalty = draw(st.sampled_from(["added", "served_rest", "served_work"])) if kind != "none" else "added"
    if kind == "missed_interval" and penalty == "served_work":
        penalty = "added"
    return BreakRule(
        kind,
        penalty_s=draw(st.sampled_from([0.0, 10.0, 45.0])) if penalty == "added" else 20.0,
        penalty=penalty,
        penalty_work=item(
            "p", draw(whole(1, 8)), movement=draw(st.sampled_from(["movement_p", "movement_a"]))
        )
        if penalty == "served_work"
        else None,
        rest_over_s=draw(st.sampled_from([25.0, 60.0])) if kind == "rest_longer_than" else None,
    )


@st.composite
def blocks(draw):
    """Any block: two or three items, of repetitions or holds, limited or not, under any order, break rule and end."""
    order = draw(
        st.sampled_from(["in_sequence", "rounds", "swap_on_break", "ladder", "intervals", "attempts"])
    )
    count = draw(st.integers(2 if order == "swap_on_break" else 1, 3))
    most = 40 if order in ("in_sequence", "swap_on_break") else 12
    work = [
        item(
            key,
            draw(whole(1, most)),
            draw(st.sampled_from(["repetitions", "hold_s"])),
            "movement_a" if key == "c" and order != "swap_on_break" and draw(st.booleans()) else None,
        )
        for key in "abc"[:count]
    ]
    fields = {"rounds": 1}
    limit = draw(st.sampled_from([None, 95.0, 400.0, 1000.0]))
    end = EndRule("work_done", cap_s=limit)
    if order == "rounds":
        fields["rounds"] = draw(st.sampled_from([2, 5, None]))
        fields["rest_between_s"] = draw(st.sampled_from([0.0, 30.0]))
    elif order == "ladder":
        then = draw(st.sampled_from([None, 1.0]))
        fields["ladder"] = Ladder(draw(st.sampled_from([(1.0, 2.0, 3.0), (3.0, 2.0, 1.0), (2.0,)])), then)
    elif order == "intervals":
        fields["intervals"] = Intervals(
            60.0, draw(st.sampled_from([3, 6])), draw(st.sampled_from([None, 40.0])), draw(st.booleans())
        )
        end = draw(st.sampled_from([end, EndRule("first_miss"), EndRule("fixed_time", time_s=200.0)]))
    elif order == "attempts":
        fields["attempts"] = draw(st.integers(1, 4))
        fields["rest_between_s"] = draw(st.sampled_from([0.0, 90.0]))
    if order in ("in_sequence", "rounds") and draw(st.booleans()):
        end = EndRule("fixed_time", time_s=draw(st.sampled_from([130.0, 600.0])))
        if count == 1 and draw(st.booleans()):
            work[-1] = item("a", None, work[-1].unit)
    endless = order in ("rounds", "ladder") and end.limit_s is None
    if endless and (fields["rounds"] is None or (order == "ladder" and fields["ladder"].then_step)):
        end = EndRule("work_done", cap_s=700.0)
    rules = BlockRules(
        order, draw(break_rules(order)), end, "time", "none", fields["rounds"],
        fields.get("rest_between_s", 0.0), fields.get("ladder"), fields.get("intervals"),
        fields.get("attempts"),
    )  # fmt: skip
    return Block("main", tuple(work), rules, Aim(()))
