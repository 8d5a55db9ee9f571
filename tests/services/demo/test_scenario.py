"""The documents and the people of the demo: the service accepts them, and they are as various as promised."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

from athletes.guidance import question_set
from programming.calc.document import contradictions, parse_revision
from programming.calc.kit import options, parse_kit
from programming.catalogue.shipped import shipped_catalogue
from programming.equipment import equipment_of
from services.demo import documents, floor
from services.demo.day import AS_PRESCRIBED, CORRECTED, HANDFUL, LATE, TOTALS, TWICE, UNLIKELY
from services.demo.people import ATHLETES, MEMBERS, MILL, QUAY, REMOTE
from services.demo.writing import MAIN

HISTORY = [documents.PUSH_AND_BRIDGE, documents.SQUAT_AND_SIT_UP, documents.NEW_SESSION]
SESSIONS = [
    *HISTORY,
    documents.HEADWIND,
    documents.BALLAST,
    documents.narrow_draft(),
    documents.of_the_mill(),
]
CATALOGUE = {movement.key: movement for movement in shipped_catalogue()}


@pytest.mark.parametrize("document", SESSIONS)
def test_sessions_parse_without_contradiction(document: dict[str, Any]) -> None:
    """Each can be published as it is."""
    assert contradictions(parse_revision(document)) == []


def test_the_first_draft_has_one_contradiction() -> None:
    """It parses, and exactly one thing in it cannot hold."""
    found = contradictions(parse_revision(documents.contradictory_draft()))
    assert [problem.code for problem in found] == ["later_sets_above_first"]


def test_the_sessions_are_of_several_orders() -> None:
    """A swap at each break, rounds for time with a machine, rounds of lifting that are not scored."""
    rules = [document["blocks"][0]["rules"] for document in (documents.HEADWIND, documents.BALLAST)]
    assert [(one["order"], one["scored"]) for one in rules] == [("rounds", "time"), ("rounds", "none")]
    assert documents.NEW_SESSION["blocks"][0]["rules"]["order"] == "swap_on_break"


def test_the_places_have_what_their_sessions_need() -> None:
    """Each work item can be set up as it is written, for somebody of average mass."""
    placed = [(place, document) for place, document in MAIN.items() if place != REMOTE]
    for place, document in [*placed, (MILL, documents.BALLAST)]:
        kit = parse_kit({"items": documents.KITS[place]})
        for item in document["blocks"][0]["work"]:
            written = item["as_written"]
            (variation,) = (
                shipped.entry.variation
                for shipped in CATALOGUE[item["movement"]].variations
                if shipped.entry.variation.key == written["variation"]
            )
            loads = {option.load_kg for option in options(variation, kit, 75.0)}
            assert written["load_kg"] in loads, (place, written)


def test_no_penalty_session_of_pull_ups_and_dips() -> None:
    """The demo's work is of other movements."""
    named = {item["movement"] for document in SESSIONS for item in document["blocks"][0]["work"]}
    assert named & {"pull_up", "chin_up", "dip", "ring_dip"} == set()


def test_kits_parse_and_name_nothing_in_vain() -> None:
    """Those of the places and those of remote athletes: some variation of the catalogue asks for each item."""
    variations = [one.entry.variation for entry in CATALOGUE.values() for one in entry.variations]
    known = {one.item for one in equipment_of(variations)}
    for items in [*documents.KITS.values(), *(one.kit for one in ATHLETES if one.kit is not None)]:
        parse_kit({"items": items})
        assert set(items) <= known


def test_everybody_can_do_every_movement_of_the_history() -> None:
    """With the kit at hand each athlete has some version of each: nobody's history is empty for want of a box."""
    movements = {item["movement"] for one in HISTORY for item in one["blocks"][0]["work"]}
    for person in ATHLETES:
        kit = parse_kit({"items": documents.KITS[person.place] if person.kit is None else person.kit})
        for movement in movements:
            ladder = [shipped.entry.variation for shipped in CATALOGUE[movement].variations]
            assert any(options(variation, kit, person.mass_kg) for variation in ladder), (
                person.name,
                movement,
            )


def test_the_cast_is_as_various_as_promised() -> None:
    """At least 24, in two gyms and remote; newcomers, a shoulder limit, somebody alone, somebody unweighed."""
    assert len(ATHLETES) >= 24
    assert len({one.name for one in ATHLETES}) == len(ATHLETES)
    assert set(Counter(one.place for one in ATHLETES)) == {MILL, QUAY, REMOTE}
    assert sum(one.newcomer for one in ATHLETES) >= 3
    assert sum(one.unweighed for one in ATHLETES) == 1
    assert {"shoulder"} <= {one.limit for one in ATHLETES}
    assert any(one.alone and not one.kit for one in ATHLETES)
    assert all(one.kit is not None for one in ATHLETES if one.place == REMOTE)


def test_those_who_play_a_part_exist() -> None:
    """Names in the script are names of the cast; who sends twice has a sign-in of their own."""
    names = {one.name for one in ATHLETES}
    assert {LATE, TWICE, UNLIKELY, CORRECTED, AS_PRESCRIBED, *TOTALS, *HANDFUL} <= names
    told = {floor.SCREENED, floor.CHECKED, floor.OVERRIDDEN, floor.PAINED, floor.FLAGGED, floor.AWAY}
    assert told <= names
    assert len(told) == 6
    assert floor.person_of(floor.CHECKED).newcomer
    assert floor.person_of(floor.OVERRIDDEN).limit == "lower_back"
    assert floor.YES in {question.key for question in question_set().questions}
    assert TWICE in {one.name for one in MEMBERS}
    assert {UNLIKELY, CORRECTED} & {*TOTALS} == set()


def test_addresses_are_nobodys() -> None:
    """All e-mail addresses lie in the domain that is reserved for examples (RFC 2606)."""
    assert all(one.email.endswith("@example.org") for one in MEMBERS)
