"""What an athlete is allowed to choose from, without a database: the shipped catalogue and an invented place."""

import datetime as dt
from dataclasses import replace
from uuid import uuid4

import numpy as np
import pytest

from athletes.calc.capacity import MOST_REPETITIONS, Observation, estimate_capacity
from athletes.queries import AthleteInputs
from programming.calc.document import parse_revision
from programming.calc.kit import parse_kit
from programming.catalogue.shipped import shipped_catalogue
from programming.plans import MovementEntry, SessionPlan, VariationEntry
from scoring.calc.prescribe import prescribe
from scoring.candidates import gather, gather_block
from scoring.loadable import loadable
from scoring.person import Person
from tests.programming.calc.documents import row_and_squat

BAR = {"barbell": {"loads_kg": [40, 50, 60, 70, 80]}, "rack": {}, "bench": {}, "bar_floor": {}, "rings": {}}
SAFE = BAR | {"safety_arms": {}}
ALONE = AthleteInputs(
    body_mass_kg=80.0, kit=None, hazards=frozenset(), zone="Europe/Lisbon", trains_alone=True, sex=""
)
ACCOMPANIED = replace(ALONE, trains_alone=False)


def plan(first: str, second: str = "horizontal_row", items=BAR) -> SessionPlan:
    """A session of two movements with their whole ladders, 40 repetitions each, without an aim."""
    document = row_and_squat()
    block = document["blocks"][0]
    block["aim"]["conditions"] = []
    variations = {}
    for work, movement in zip(block["work"], (first, second), strict=True):
        shipped = next(one for one in shipped_catalogue() if one.key == movement)
        entry = MovementEntry(
            uuid4(), movement, shipped.name, shipped.pattern, shipped.capacity_kind, shipped.prior
        )
        for rung in shipped.variations:
            variations[rung.key] = VariationEntry(
                uuid4(), uuid4(), 1, rung.name, rung.entry.standard, entry, rung.entry.variation
            )
        written = {"variation": shipped.variations[-1].key}
        work |= {"movement": movement, "repetitions": 40, "variations": [], "as_written": written}
    return SessionPlan(
        session_id=uuid4(), version=1, revision_id=uuid4(), template_id=uuid4(), sha256="", rules_version=1,
        doc=parse_revision(document), location_id=uuid4(), is_remote=False, freeze_minutes=0,
        starts_at=dt.datetime(2030, 5, 10, 9, tzinfo=dt.UTC), zone="Europe/Lisbon",
        local_date=dt.date(2030, 5, 10), is_cancelled=False, kit=parse_kit({"items": items}), kit_version=1,
        variations=variations,
    )  # fmt: skip


EASY = Observation(0, 20.0, 1.0, "at_least")


def choice(session: SessionPlan, inputs: AthleteInputs, *more: Observation):
    """The candidates of an athlete of whom hardly more than the body mass is known: one easy repetition each."""
    movements = {session.movement(item.key) for item in session.block.work}
    seen = [EASY, *more]
    capacities = {one.id: estimate_capacity(one.prior.at(80.0), seen, day=0) for one in movements}
    return gather(session, inputs, capacities, frozenset())


def reasons(found) -> dict[str, str]:
    """Reason by variation left out."""
    return {one.variation: one.reason for one in found.ruled_out}


@pytest.mark.parametrize("movement", ["bench_press", "back_squat", "front_squat"])
def test_alone_nobody_lies_or_stands_under_a_bar_without_safeties(movement):
    """Alone the lift is ruled out with its reason; with safety arms or with company it is offered."""
    left_out = choice(plan(movement), ALONE)

    assert left_out.candidates["a"] == []
    assert reasons(left_out)[f"{movement}_barbell"] == "alone_without_safeties"
    for session, inputs in ((plan(movement, items=SAFE), ALONE), (plan(movement), ACCOMPANIED)):
        found = choice(session, inputs)
        assert found.candidates["a"]
        assert "alone_without_safeties" not in reasons(found).values()


def test_alone_the_lift_without_its_bar_stays():
    """A hip thrust may carry a bar or not: alone, only body weight is left of it. Written is body weight, so heavier
    is for who has shown what is not possible.
    """
    tested = Observation(0, 100.0, 8.0, "to_failure")
    alone, accompanied = (
        {
            one.option.load_kg
            for one in choice(plan("hip_thrust"), inputs, tested).candidates["a"]
            if one.option.variation_key == "hip_thrust"
        }
        for inputs in (ALONE, ACCOMPANIED)
    )

    assert alone == {None}
    assert accompanied == {None, 40, 50, 60, 70, 80}


def test_alone_no_set_with_a_bar_is_planned_to_failure():
    """Fifteen deadlifts with eight available: 8 + 7 saves a break of 7 + 7 + 1, but only in company."""
    session = plan("deadlift")
    work = tuple(replace(item, amount=15.0) for item in session.block.work)
    shares = {}
    for inputs in (ALONE, ACCOMPANIED):
        found = choice(session, inputs)
        steady = {
            key: [replace(one, fresh=np.full(64, 8.0), per_unit=1.0, tempo=1.0, groups=()) for one in listed]
            for key, listed in found.candidates.items()
        }
        assert all(one.below_failure is inputs.trains_alone for one in found.candidates["a"])
        assert not any(one.below_failure for one in found.candidates["b"])
        result = prescribe(replace(session.block, work=work), steady, multiplier=np.full(64, 0.05))
        shares[inputs.trains_alone] = result.forecast.share

    assert shares[False] == 1.0
    assert shares[True] <= 0.9


def test_what_is_too_light_for_the_curve_is_no_candidate():
    """Half of S can be moved for ever in a sit-up: who probably is that strong has no number of curl-ups."""
    found = choice(plan("sit_up"), ACCOMPANIED)

    assert reasons(found)["curl_up"] == "beyond_curve"
    assert {one.option.variation_key for one in found.candidates["a"]} == {"sit_up"}
    assert all(np.median(one.fresh) < MOST_REPETITIONS for one in found.candidates["a"])


@pytest.mark.parametrize(("sex", "median"), [("male", 0.75), ("female", 0.3), ("", 0.5), ("other", 0.5)])
def test_the_prior_of_fatigue_follows_the_sex_where_it_is_given(sex, median):
    """Medians of the first calibration (ours), log-SD 0.4 for all."""
    multiplier = choice(plan("push_up"), replace(ACCOMPANIED, sex=sex)).multiplier

    assert np.median(multiplier) == pytest.approx(median, rel=0.01)
    assert np.log(multiplier).std() == pytest.approx(0.4, rel=0.01)


def test_a_variation_is_drawn_with_its_own_offset():
    """Somebody who is better on the knees than the load says gets more repetitions there than on the floor."""
    session = plan("push_up")
    movement = session.movement("a")
    loads = {"push_up_floor": 51.2, "push_up_knees": 39.2}
    alike = [
        Observation(day, load, count, "to_failure", variation=key)
        for day, (key, load, count) in enumerate(
            (key, load, count)
            for key, load, count in (("push_up_floor", 51.2, 20.0), ("push_up_knees", 39.2, 30.0))
            for _ in range(4)
        )
    ]
    better = [
        replace(one, repetitions=one.repetitions + 8.0) if one.variation == "push_up_knees" else one
        for one in alike
    ]

    def fresh(seen: list[Observation], key: str) -> float:
        capacities = {movement.id: estimate_capacity(movement.prior.at(80.0), seen, day=10)}
        other = session.movement("b")
        capacities[other.id] = estimate_capacity(other.prior.at(80.0), [], day=10)
        found = gather(session, ACCOMPANIED, capacities, frozenset()).candidates["a"]
        [one] = [one for one in found if one.option.variation_key == key]
        assert one.option.effective_kg == pytest.approx(loads[key])
        return float(np.median(one.fresh))

    gained = {key: fresh(better, key) - fresh(alike, key) for key in loads}
    assert gained["push_up_knees"] > gained["push_up_floor"] + 5.0  # without the offset: 3.6


FLOOR, RAISED = "push_up_floor", "push_up_feet_raised"


@pytest.mark.parametrize(
    ("known", "only_checked", "first"),
    [
        ((FLOOR,), (), {RAISED}),
        ((FLOOR, RAISED), (), set()),
        ((FLOOR, RAISED), (RAISED,), {RAISED}),
        ((FLOOR,), ("the movement",), {FLOOR, RAISED}),
        ((), (), set()),
    ],
)
def test_heavier_than_written_and_never_done_is_a_first_time(known, only_checked, first):
    """The floor is written; a check set makes nothing known that much may be done of."""
    session = plan("push_up", items=BAR | {"box": {"heights_cm": [30]}})
    block = session.doc.blocks[0]
    written = replace(block.work[0], as_written=replace(block.work[0].as_written, variation=FLOOR))
    block = replace(block, work=(written, *block.work[1:]))
    session = replace(session, doc=replace(session.doc, blocks=(block,)))
    movement = session.movement("a")
    state = estimate_capacity(movement.prior.at(80.0), [Observation(0, 50.0, 20.0, "to_failure")], day=0)
    ids = {key: entry.variation_id for key, entry in session.variations.items()} | {
        "the movement": movement.id
    }
    person = Person(
        ACCOMPANIED,
        {movement.id: state},
        frozenset(ids[key] for key in known),
        only_checked=frozenset(ids[key] for key in only_checked),
    )
    found = gather_block(session, session.block, person, loadable(session, ACCOMPANIED))
    marked = {one.option.variation_key for one in found.candidates["a"] if one.is_first_time}
    assert marked & {FLOOR, RAISED} == first


def test_who_was_never_seen_does_all_of_it_for_the_first_time():
    """Whatever is written."""
    session = plan("push_up")
    movement = session.movement("a")
    state = estimate_capacity(movement.prior.at(80.0), [], day=0)
    person = Person(ACCOMPANIED, {movement.id: state}, frozenset())
    found = gather_block(session, session.block, person, loadable(session, ACCOMPANIED))
    assert found.candidates["a"]
    assert all(one.is_first_time for one in found.candidates["a"])
