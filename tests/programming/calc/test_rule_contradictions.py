"""Rules that cannot hold together, each named at its place, and rules that never end."""

import pytest

from programming.calc.document import DocumentError, contradictions, parse_revision
from programming.calc.extent import sets_asked_for
from programming.calc.revision import Block
from tests.programming.calc.rule_documents import block_of, document, item, rules
from tests.support.pointers import WORK

REPS = [item("a", repetitions=10), item("b", repetitions=10)]
OPEN = [item("a", repetitions=None)]
FIXED = {"kind": "fixed_time", "time_s": 600}
MINUTES = {"every_s": 60, "count": 10}


def found(work, written, **more):
    """(pointer below the block, code) of the contradictions."""
    return [
        (problem.pointer.removeprefix("/blocks/0/"), problem.code)
        for problem in contradictions(parse_revision(document(work, written, **more)))
    ]


@pytest.mark.parametrize(
    ("work", "written"),
    [
        (REPS, rules("in_sequence")),
        (REPS, rules("rounds", rounds=5, rest_between_s=120)),
        (REPS, rules("rounds", end=FIXED, scored="rounds")),
        (REPS, rules("ladder", ladder={"amounts": [1, 2, 3]})),
        (REPS, rules("ladder", ladder={"amounts": [1], "then_step": 1}, end=FIXED, scored="repetitions")),
        (REPS, rules("intervals", intervals=MINUTES, end={"kind": "work_done"}, scored="intervals",
                     break_={"counts": "missed_interval"}, tie_break="fewest_misses")),
        (REPS, rules("intervals", intervals={"every_s": 60}, ladder={"amounts": [0.5], "then_step": 0.1},
                     end={"kind": "first_miss"}, scored="intervals")),
        (OPEN, rules("intervals", intervals=MINUTES | {"work_s": 20}, scored="smallest_interval")),
        (OPEN, rules("in_sequence", end={"kind": "fixed_time", "time_s": 120}, scored="repetitions")),
        ([item("a", hold_s=None)], rules("in_sequence", end=FIXED, scored="held_time")),
        ([item("a", distance_m=5000)], rules("in_sequence", end={"kind": "work_done"})),
        ([item("a", energy_kcal=15), item("b", repetitions=12)], rules("rounds", rounds=5)),
        ([item("a", repetitions=1)], rules("attempts", attempts=6, scored="load", tie_break="fewest_misses")),
        (REPS, rules("rounds", rounds=4, scored="none", end={"kind": "work_done"})),
        (REPS, rules("in_sequence", break_={"counts": "no_rep", "penalty": "served_work",
                                            "penalty_work": item("p", repetitions=3)})),
        (REPS, rules("in_sequence", break_={"counts": "rest_longer_than", "rest_over_s": 10, "penalty_s": 5},
                     tie_break="fewest_breaks")),
        (REPS, rules("in_sequence", tie_break="split_time", split="a")),
    ],
)  # fmt: skip
def test_what_holds_together(work, written):
    """Sessions that coaches write: none of the rules is refused."""
    assert found(work, written) == []


NEVER = ("rules/end", "never_ends")
NO_CAP = {"kind": "work_done"}


@pytest.mark.parametrize(
    ("work", "written", "expected"),
    [
        (REPS, rules("rounds", end=NO_CAP, scored="none"), NEVER),
        (REPS, rules("ladder", ladder={"amounts": [1], "then_step": 1}, end=NO_CAP, scored="none"), NEVER),
        (OPEN, rules("in_sequence", end=NO_CAP, scored="none"), NEVER),
        (REPS, rules("intervals", intervals={"every_s": 60}, end=NO_CAP, scored="intervals"), NEVER),
        (REPS, rules("intervals", intervals={"every_s": 60}, end={"kind": "first_miss"}, scored="intervals"), NEVER),
        (REPS, rules("in_sequence", break_={"counts": "rest_longer_than", "rest_over_s": 10,
                                            "penalty": "served_rest", "penalty_s": 11}),
         ("rules/break/penalty_s", "never_ends")),
        (REPS, rules("in_sequence", break_={"counts": "no_rep", "penalty": "served_work",
                                            "penalty_work": item("p", repetitions=None)}),
         ("rules/break/penalty_work", "never_ends")),
    ],
)  # fmt: skip
def test_rules_that_never_end(work, written, expected):
    """Each way of going on for ever is named, and only that."""
    assert found(work, written) == [expected]


SEQUENCE = "in_sequence"


@pytest.mark.parametrize(
    ("work", "written", "expected"),
    [
        (REPS[:1], rules("swap_on_break", break_={"counts": "set_ended_early"}), ("rules/order", "too_few_items")),
        (REPS, rules("swap_on_break"), ("rules/break/counts", "swap_needs_breaks")),
        ([item("a", movement="row", repetitions=5), item("b", movement="row", repetitions=5)],
         rules("swap_on_break", break_={"counts": "set_ended_early"}), ("work/1/movement", "same_movement_twice")),
        ([item("a", repetitions=None), item("b", repetitions=5)], rules("rounds", end=FIXED, scored="rounds"),
         ("work/0", "open_amount_not_last")),
        (REPS, rules(SEQUENCE, break_={"counts": "none", "penalty_s": 5}),
         ("rules/break/counts", "penalty_without_breaks")),
        (REPS, rules(SEQUENCE, break_={"counts": "rest_longer_than"}),
         ("rules/break/rest_over_s", "missing_field")),
        (REPS, rules(SEQUENCE, break_={"counts": "missed_interval"}), ("rules/break/counts", "no_intervals")),
        (REPS, rules(SEQUENCE, break_={"counts": "no_rep", "penalty": "served_work"}),
         ("rules/break/penalty_work", "missing_field")),
        (REPS, rules("intervals", intervals=MINUTES, scored="intervals", break_={
            "counts": "missed_interval", "penalty": "served_work", "penalty_work": item("p", repetitions=3)}),
         ("rules/break/penalty", "no_time_for_penalty_work")),
        (REPS, rules(SEQUENCE, break_={"counts": "no_rep", "penalty_work": item("p", repetitions=3)}),
         ("rules/break/penalty_work", "penalty_not_served")),
        (REPS, rules(SEQUENCE, break_={"counts": "no_rep", "penalty": "served_rest"}),
         ("rules/break/penalty_s", "missing_field")),
        (REPS, rules("rounds", end=FIXED, scored="rounds", break_={"counts": "no_rep", "penalty_s": 5}),
         ("rules/break/penalty_s", "seconds_added_to_amount")),
        (REPS, rules(SEQUENCE, break_={"counts": "no_rep", "penalty_repetitions": 2}),
         ("rules/break/penalty_repetitions", "repetitions_off_no_amount")),
        (REPS, rules(SEQUENCE, end={"kind": "first_miss"}), ("rules/end/kind", "miss_without_intervals")),
        # 100 repetitions at two a second are 50 s, and two minutes of rest between five rounds 480 s
        ([item("a", repetitions=20)], rules("rounds", rounds=5, rest_between_s=120,
                                            end={"kind": "work_done", "cap_s": 529}),
         ("rules/end/cap_s", "cap_too_short")),
        (REPS, rules("rounds", end=FIXED), ("rules/scored", "time_of_open_work")),
        (REPS, rules("intervals", intervals=MINUTES), ("rules/scored", "time_of_intervals")),
        (REPS, rules(SEQUENCE, scored="intervals"), ("rules/scored", "no_intervals")),
        (REPS, rules("rounds", end=FIXED, scored="distance"), ("rules/scored", "nothing_to_score")),
        ([item("a", distance_m=200), item("b", repetitions=5)], rules("rounds", end=FIXED, scored="repetitions"),
         ("rules/scored", "mixed_units")),
        ([item("a", energy_kcal=12), item("b", repetitions=5)], rules("rounds", end=FIXED, scored="repetitions"),
         ("rules/scored", "mixed_units")),
        ([item("a", energy_kcal=12), item("b", repetitions=5)],
         rules("intervals", intervals=MINUTES, end=FIXED, scored="rounds"), ("rules/scored", "mixed_units")),
        ([item("a", energy_kcal=12), item("b", repetitions=5)],
         rules("rounds", end=FIXED, scored="rounds", break_={"counts": "no_rep", "penalty_repetitions": 2}),
         ("rules/break/penalty_repetitions", "repetitions_off_no_amount")),
        (REPS, rules("rounds", rounds=3, end=NO_CAP, scored="repetitions"),
         ("rules/scored", "amount_of_fixed_work")),
        (REPS, rules(SEQUENCE, tie_break="fewest_breaks"), ("rules/tie_break", "no_breaks_counted")),
        (REPS, rules(SEQUENCE, tie_break="fewest_misses"), ("rules/tie_break", "nothing_to_miss")),
        (REPS, rules(SEQUENCE, tie_break="split_time"), ("rules/split", "missing_field")),
        (REPS, rules(SEQUENCE, tie_break="split_time", split="z"), ("rules/split", "unknown_work")),
        (REPS, rules("intervals", intervals=MINUTES | {"work_s": 61}, scored="intervals"),
         ("rules/intervals/work_s", "work_beyond_interval")),
        (REPS, rules("intervals", intervals=MINUTES, rest_between_s=5, scored="intervals"),
         ("rules/rest_between_s", "rest_in_intervals")),
        (REPS, rules("intervals", intervals={"every_s": 9.9, "count": 5}, scored="intervals"),
         ("rules/intervals/every_s", "interval_too_short")),
        (REPS, rules("intervals", intervals={"every_s": 30}, end={"kind": "first_miss"}, scored="intervals",
                     ladder={"amounts": [4, 1], "then_step": 1}),
         ("rules/intervals/every_s", "interval_too_short")),
    ],
)  # fmt: skip
def test_each_contradiction_at_its_place(work, written, expected):
    """One thing is wrong, and exactly that is named."""
    assert found(work, written) == [expected]


@pytest.mark.parametrize(("lower", "expected"), [(24, []), (25, [("/0/lower", "too_many_rounds")])])
def test_an_amount_is_no_window_of_rounds(lower, expected):
    """12 kcal and 10 repetitions take 11 s at the least: 24 rounds in 270 s, and never 25."""
    work = [item("a", energy_kcal=12), item("b", repetitions=10)]
    end = {"kind": "fixed_time", "time_s": 270}
    aim = [{"kind": "score", "lower": lower}]

    named = found(work, rules("rounds", end=end, scored="rounds"), conditions=aim)

    assert [(pointer.removeprefix("aim/conditions"), code) for pointer, code in named] == expected


@pytest.mark.parametrize(
    ("conditions", "expected"),
    [
        ([{"kind": "score", "lower": 5}], [("/0", "score_not_an_amount")]),
        ([{"kind": "stopped_by", "by": "breathing"}, {"kind": "stopped_by", "by": "skill"}],
         [("/1", "stoppers_disjoint")]),
        ([{"kind": "first_set", "work": "a", "lower": 12}, {"kind": "stopped_by", "by": "strength"}],
         [("/1", "strength_needs_short_sets")]),
        ([{"kind": "stopped_by", "by": "strength"}, {"kind": "first_set", "work": "a", "lower": 10, "upper": 12}],
         []),
    ],
)  # fmt: skip
def test_aims_that_cannot_be(conditions, expected):
    """What is asked of the athlete against the rules, the work and itself."""
    at = "aim/conditions"
    work = [item("a", repetitions=20)]
    named = found(work, rules(SEQUENCE), conditions=conditions)
    shown = [(pointer.removeprefix(at), code) for pointer, code in named]

    assert shown == expected


HOUR, HOURS = {"kind": "fixed_time", "time_s": 3600}, {"kind": "fixed_time", "time_s": 14_400}
SIX = [item(key, repetitions=10) for key in "abcdef"]
THREE = SIX[:3]
MINUTE = {"every_s": 60}


@pytest.mark.parametrize(
    ("work", "written", "is_too_much"),
    [
        (REPS[:1], rules("rounds", rounds=100, scored="none", end=NO_CAP), False),
        (THREE, rules("rounds", rounds=100, scored="none", end=NO_CAP), False),
        (SIX, rules("rounds", rounds=100, scored="none", end=NO_CAP), True),
        # the same within 20 min: six sets of ten take 90 s at least, so that 14 rounds are begun
        (SIX, rules("rounds", scored="none"), False),
        (REPS[:1], rules("intervals", intervals=MINUTE | {"count": 60}, scored="intervals"), False),
        (REPS, rules("intervals", intervals=MINUTE | {"count": 200}, scored="intervals", end=NO_CAP), False),
        (THREE, rules("intervals", intervals=MINUTE | {"count": 200}, scored="intervals", end=NO_CAP), True),
        (THREE, rules("intervals", intervals=MINUTE | {"count": 200, "in_turn": True}, scored="intervals",
                      end=NO_CAP), False),
        (OPEN, rules("intervals", intervals={"every_s": 5}, end=HOURS, scored="none"), True),
        # an hour of triplets of ten is 45 s a round by somebody fast: 80 rounds of three
        (THREE, rules("rounds", end=HOUR, scored="rounds"), False),
        (THREE, rules("rounds", end=HOURS, scored="rounds"), True),
        # a ladder of intervals is missed where two a second are not enough: after 1, 2, ... 12 tens in a minute
        (REPS[:1], rules("intervals", intervals=MINUTE, ladder={"amounts": [1], "then_step": 1},
                         end={"kind": "first_miss"}, scored="intervals"), False),
        # ... and not within 500 intervals where it hardly grows
        (REPS[:1], rules("intervals", intervals=MINUTE, ladder={"amounts": [1], "then_step": 0.001},
                         end={"kind": "first_miss"}, scored="intervals"), True),
    ],
)  # fmt: skip
def test_more_sets_than_anybody_does(work, written, is_too_much):
    """A session that could not be worked out is refused while it is written, and nothing that is done is."""
    assert found(work, written) == ([("/blocks", "too_many_sets")] if is_too_much else [])


@pytest.mark.parametrize(("blocks", "is_too_much"), [(5, False), (6, True)])
def test_the_sets_of_all_blocks_count_together(blocks, is_too_much):
    """A hundred sets in each block."""
    written = document(REPS[:1], rules("rounds", rounds=100, scored="none", end=NO_CAP))
    (one,) = written["blocks"]
    written["blocks"] = [
        one | {"key": f"block_{number}", "work": [one["work"][0] | {"key": f"w{number}"}]}
        for number in range(blocks)
    ]
    codes = [problem.code for problem in contradictions(parse_revision(written))]

    assert codes == (["too_many_sets"] if is_too_much else [])


@pytest.mark.parametrize(
    ("written", "sets"),
    [
        (
            rules(
                "intervals",
                intervals=MINUTE,
                ladder={"amounts": [1], "then_step": 1},
                end={"kind": "first_miss"},
            ),
            12,
        ),
        (rules("rounds", rounds=7), 7),
        # 15 s from one set of ten to the next: the 80th begins after 1185 s
        (rules("rounds", rounds=None), 80),
        (rules("ladder", ladder={"amounts": [3, 2, 1]}), 3),
        (rules("rounds", rounds=None, end=NO_CAP), 501),
    ],
)
def test_sets_that_are_asked_for(written, sets):
    """By hand: of ten repetitions, five seconds at least."""
    assert sets_asked_for(block_of(REPS[:1], written)) == sets


def test_a_first_set_may_leave_something_in_reserve():
    """Ten with three in reserve, round after round, asks for 13 available; done once, nobody could show 13."""
    conditions = [{"kind": "first_set", "work": "a", "lower": 13, "upper": 15}]

    assert found(REPS, rules("rounds", rounds=5), conditions=conditions) == []
    assert found(REPS, rules(SEQUENCE), conditions=conditions) == [
        ("aim/conditions/0/lower", "window_above_work")
    ]


def test_a_clock_that_decides_has_no_time_window():
    """Ten minutes last ten minutes."""
    conditions = [{"kind": "time", "upper": 700}]

    assert found(REPS, rules("rounds", end=FIXED, scored="rounds"), conditions=conditions) == [
        ("aim/conditions/0", "time_is_fixed")
    ]


def test_a_block_that_is_not_scored_may_have_no_aim():
    """Warming up has none; what is scored has one."""
    unscored = rules("rounds", rounds=2, end=NO_CAP, scored="none")

    assert found(REPS, unscored, conditions=[]) == []
    assert found(REPS, rules(SEQUENCE), conditions=[]) == [("aim/conditions", "aim_empty")]


def test_attempts_at_the_heaviest_load_need_no_aim():
    """The load is what they are for; attempts that count repetitions want one like everything else."""
    single = [item("a", repetitions=1)]

    assert found(single, rules("attempts", attempts=3, scored="load"), conditions=[]) == []
    assert found(single, rules("attempts", attempts=3, scored="repetitions"), conditions=[]) == [
        ("aim/conditions", "aim_empty")
    ]


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        ({"order": "ladder"}, "/blocks/0/rules/ladder", "missing_field"),
        ({"order": "intervals"}, "/blocks/0/rules/intervals", "missing_field"),
        ({"order": "attempts"}, "/blocks/0/rules/attempts", "missing_field"),
        ({"attempts": 3}, "/blocks/0/rules/attempts", "not_in_this_order"),
        ({"ladder": {"amounts": [1]}}, "/blocks/0/rules/ladder", "not_in_this_order"),
        ({"end": {"kind": "fixed_time"}}, "/blocks/0/rules/end/time_s", "missing_field"),
        ({"end": {"kind": "work_done", "time_s": 60}}, "/blocks/0/rules/end/time_s", "not_in_this_end"),
        (
            {"end": {"kind": "fixed_time", "time_s": 60, "cap_s": 60}},
            "/blocks/0/rules/end/cap_s",
            "not_in_this_end",
        ),
    ],
)
def test_settings_belong_to_their_rule(change, pointer, code):
    """A setting of another order or end is refused, not ignored."""
    with pytest.raises(DocumentError) as error:
        parse_revision(document(REPS, rules(SEQUENCE) | change))

    assert [(problem.pointer, problem.code) for problem in error.value.problems] == [(pointer, code)]


@pytest.mark.parametrize(
    ("amounts", "pointer", "code"),
    [
        ({}, f"/blocks/0/{WORK}/0/repetitions", "missing_field"),
        ({"repetitions": 5, "hold_s": 5}, f"/blocks/0/{WORK}/0", "several_amounts"),
        ({"repetitions": 2.5}, f"/blocks/0/{WORK}/0/repetitions", "not_an_integer"),
        ({"hold_s": 0}, f"/blocks/0/{WORK}/0/hold_s", "out_of_range"),
        ({"distance_m": 100_001}, f"/blocks/0/{WORK}/0/distance_m", "out_of_range"),
    ],
)
def test_a_work_item_has_one_amount(amounts, pointer, code):
    """Counted in one unit, within what somebody can do in a session."""
    with pytest.raises(DocumentError) as error:
        parse_revision(document([item("a", **amounts)], rules(SEQUENCE)))

    assert [(problem.pointer, problem.code) for problem in error.value.problems] == [(pointer, code)]


@pytest.mark.parametrize(
    ("work", "written", "total"),
    [
        (REPS, rules("rounds", rounds=5), 100.0),
        (REPS, rules("ladder", ladder={"amounts": [1, 2, 3]}), 120.0),
        (REPS, rules("intervals", intervals=MINUTES | {"in_turn": True}, scored="intervals"), 100.0),
        (REPS, rules("rounds", end=FIXED, scored="rounds"), None),
        (OPEN, rules(SEQUENCE, end=FIXED, scored="repetitions"), None),
    ],
)
def test_the_total_of_a_block(work, written, total):
    """All rounds, rungs and turns added up; none where there is no end to them."""
    block: Block = block_of(work, written)

    assert block.total == total
