"""Results of sessions with several blocks and every unit, from the wire to the rankings."""

import pytest

from athletes.models import Observation
from scoring.models import OfficialScore, SetLog
from tests.scoring.several import (
    EVERY,
    HEAVY,
    HOLD,
    ROUNDS,
    TABLES,
    a_set,
    document,
    every,
    lifts,
    place,
    rounds,
    send,
    url,
)
from tests.support.api import assert_problem
from tests.support.pointers import WORK
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    for name, mass in (("Bruna Keel", 62.0), ("Idris Vane", 84.0), ("Nia Moor", 70.0)):
        add_athlete(world, name, mass)
    return world


def results(world, session):
    """Three athletes; the third leaves the intervals out."""
    failed = (90, "failure")
    sent = {
        # 95 kg with one miss; 3 rounds (75) and 15 kcal; 4 intervals
        "Bruna Keel": [lifts((90, "planned"), (95, "planned"), failed), rounds(60, 30), every(8, 8, 8, 8)],
        # 100 kg; 4 rounds; 3 intervals
        "Idris Vane": [lifts((100, "planned")), rounds(60, 40), every(8, 8, 6, 8)],
        "Nia Moor": [lifts((80, "planned")), rounds(75, 50)],
    }
    for name, blocks in sent.items():
        answer = send(world, session, name, blocks=blocks, effort=7.5, note="As on the board.")
        assert answer.status_code == 201
    drain(world.cast)
    return answer.json()["id"]


def ranking(world, coach, session):
    """The stored rankings."""
    return coach.get(url(world, f"scheduled-sessions/{session.id}/ranking")).json()


def places(rows):
    """(rank, name, value) of each row."""
    return [(row["rank"], row["name"], row["value"]) for row in rows]


def test_by_points(world, coach):
    """Points by hand: 10 x kg; floor(200 x rounds^1.5); 100 x intervals.

    Bruna, with half of a fourth round at the machine, 950 + 200 x 3.5^1.5 = 1309 + 400 = 2659; Idris has
    1000 + 200 x 4^1.5 = 1600 + 300 = 2900; Nia no intervals.
    """
    session = place(world, document(HEAVY, ROUNDS, EVERY, by="points", tables=TABLES))
    results(world, session)
    found = ranking(world, coach, session)

    assert found["overall"] == "points"
    assert places(found["official"]) == [
        (1, "Idris Vane", 2900.0), (2, "Bruna Keel", 2659.0), (None, "Nia Moor", None),
    ]  # fmt: skip
    assert found["official"][2]["rank_reason"] == "block_without_score"
    by_block = {one["block"]: one["rows"] for one in found["by_block"]}
    assert places(by_block["rounds"]) == [
        (1, "Nia Moor", 5.0), (2, "Idris Vane", 4.0), (3, "Bruna Keel", 3.5),
    ]  # fmt: skip
    assert [(row["rounds_completed"], row["last_round"]) for row in by_block["rounds"]] == [
        (5, []), (4, []), (3, [{"work": "machine", "amount": 15.0, "unit": "energy_kcal"}]),
    ]  # fmt: skip
    assert {row["last_round_amount_reason"] for row in by_block["rounds"]} == {"several_units"}
    assert [row["points"] for row in by_block["heavy"]] == [1000, 950, 800]
    assert by_block["every"][2]["rank_reason"] == "block_not_scored"


def test_by_places(world, coach):
    """Bruna 2 + 3 + 1 = 6, Idris 1 + 2 + 2 = 5."""
    session = place(world, document(HEAVY, ROUNDS, EVERY, by="places"))
    results(world, session)
    found = ranking(world, coach, session)

    assert places(found["official"])[:2] == [(1, "Idris Vane", 5.0), (2, "Bruna Keel", 6.0)]
    assert {row["unit"] for row in found["official"][:2]} == {"places"}


def test_by_one_block(world, coach):
    """The block that is named decides; whoever did not report it has no place."""
    session = place(world, document(HEAVY, ROUNDS, EVERY, by="block", block="every"))
    last = results(world, session)
    found = ranking(world, coach, session)

    assert places(found["official"]) == [
        (1, "Bruna Keel", 4.0), (2, "Idris Vane", 3.0), (None, "Nia Moor", None),
    ]  # fmt: skip
    attempt = coach.get(url(world, f"attempts/{last}")).json()
    assert (attempt["score"], attempt["score_reason"]) == (None, "block_not_reported")
    assert [(one["block"], one["value"], one["unit"]) for one in attempt["scores"]] == [
        ("heavy", 80.0, "kg"), ("rounds", 5.0, "rounds"),
    ]  # fmt: skip
    assert (attempt["effort"], attempt["note"]) == (7.5, "As on the board.")
    assert [one["aim"][0]["state"] for one in attempt["scores"]] == ["met", "met"]


def test_each_unit_is_stored_and_teaches(world, coach):
    """A hold of 95 s in two sets; the sets carry seconds and nothing else."""
    session = place(world, document(HOLD, EVERY))
    sets = [
        a_set("plank", "plank", "failure", hold_s=60.0),
        a_set("plank", "plank", hold_s=35, rest_before_s=20),
    ]
    log = {"set_log": {"sets": sets, "elapsed_s": 180}}
    attempt = send(world, session, "Bruna Keel", blocks=[{"block": "hold", **log}]).json()
    drain(world.cast)

    (score,) = coach.get(url(world, f"attempts/{attempt['id']}")).json()["scores"]
    assert (score["value"], score["unit"], score["state"]) == (95.0, "s", "finished")
    assert score["amounts"] == [{"work": "plank", "amount": 95.0, "unit": "hold_s"}]
    with world.cast.inside():
        rows = SetLog.objects.filter(attempt=attempt["id"]).order_by("ordinal")
        assert [(row.unit, row.amount, row.repetitions) for row in rows] == [
            ("hold_s", 60.0, None), ("hold_s", 35.0, None),
        ]  # fmt: skip
        seen = Observation.objects.filter(source_id=attempt["id"]).values_list("kind", "unit", "amount")
        assert list(seen) == [("to_failure", "hold_s", 60.0)]  # the second one says less than the first


def test_a_correction_may_leave_a_block_out(world, coach):
    """The score of the block goes with it."""
    session = place(world, document(HEAVY, EVERY))
    first = send(world, session, "Bruna Keel", blocks=[lifts((90, "planned")), every(8, 8)]).json()
    drain(world.cast)
    changed = {
        "performed_at": first["performed_at"],
        "reason": "The intervals were somebody else's.",
        "blocks": [lifts((95, "planned"))],
    }
    assert coach.post(url(world, f"attempts/{first['id']}/corrections"), changed).status_code == 201
    drain(world.cast)

    with world.cast.inside():
        rows = OfficialScore.objects.filter(session=session).values_list("block", "value")
        assert list(rows) == [("heavy", 95.0)]


@pytest.mark.parametrize(
    ("report", "code", "pointer"),
    [
        ({"set_log": lifts((90, "planned"))["set_log"]}, "several_blocks", "#/set_log"),
        ({"blocks": [{**lifts((90, "planned")), "block": "light"}]}, "unknown_block", "#/blocks/0/block"),
        ({"blocks": [every(8), every(8)]}, "named_twice", "#/blocks/1/block"),
        ({"blocks": [{**every(8), "block": "heavy"}]}, "unknown_work", f"#/blocks/0/set_log/sets/0/{WORK}"),
        ({"blocks": [{"block": "heavy", "set_log": {"sets": [
            a_set("lift", "back_squat_barbell", load_kg=60, hold_s=20)]}}]},
         "wrong_unit", "#/blocks/0/set_log/sets/0/hold_s"),
        ({"blocks": [{"block": "heavy", "set_log": {"sets": [
            a_set("lift", "back_squat_barbell", load_kg=60, repetitions=1, interval=2)]}}]},
         "no_intervals", "#/blocks/0/set_log/sets/0/interval"),
        ({"blocks": [{"block": "heavy", "set_log": {"sets": [
            a_set("lift", "back_squat_barbell", load_kg=60, repetitions=1, hold_s=2)]}}]},
         "one_of", "#/blocks/0/set_log/sets/0"),
        ({"blocks": [{"block": "heavy", "totals": {"work": [{"work": "lift", "energy_kcal": 5}]}}]},
         "wrong_unit", f"#/blocks/0/totals/{WORK}/0/energy_kcal"),
        ({"blocks": [{"block": "heavy"}]}, "one_of", "#/blocks/0"),
        ({"blocks": [{"block": "every"}] * 9}, "max_length", "#/blocks"),
        ({"blocks": [every(8)], "totals": {"work": [{"work": "row", "repetitions": 5}]}}, "one_of", "#"),
        ({"blocks": [every(8)], "effort": 11}, "max_value", "#/effort"),
        ({"blocks": [every(8)], "note": "x" * 2001}, "max_length", "#/note"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_refused_at_its_place(world, report, code, pointer):
    """Nothing is stored, and the body says where."""
    session = place(world, document(HEAVY, EVERY))
    problem = assert_problem(send(world, session, "Bruna Keel", **report), "invalid_input", 400)

    assert (code, pointer) in [(one["code"], one["pointer"]) for one in problem["errors"]]


def test_a_session_of_one_block_takes_both_forms(world, coach):
    """`blocks` with one block says the same as the log alone."""
    session = place(world, document(EVERY))
    send(world, session, "Bruna Keel", blocks=[every(8, 8, 8, 8)])
    send(world, session, "Idris Vane", set_log=every(8, 8, 8, 8)["set_log"])
    drain(world.cast)

    assert sorted(places(ranking(world, coach, session)["official"])) == [
        (1, "Bruna Keel", 4.0), (1, "Idris Vane", 4.0),
    ]  # fmt: skip
    assert ranking(world, coach, session)["by_block"] == []
