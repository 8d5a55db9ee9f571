"""Numbers and nouns in sentences: one or several, whole ones, and never none or all of what is uncertain."""

import pytest

from scoring.beyond import days_said
from scoring.explanation import _possible, explain
from scoring.names import Names
from scoring.volume_words import volume_told
from scoring.words import whole
from tests.scoring.test_sentences import NAMES, all_that_can_be_said


@pytest.mark.parametrize(
    ("amount", "unit", "said"),
    [
        (33.31, "repetitions", "33 repetitions"),
        (33.99, "repetitions", "33 repetitions"),
        (1.0, "repetitions", "1 repetition"),
        (0.0, "repetitions", "0 repetitions"),
        (44.6, "hold_s", "45 seconds"),
        (250.0, "distance_m", "250 metres"),
    ],
)
def test_amounts_are_whole(amount: float, unit: str, said: str) -> None:
    """A repetition that is not complete is none; seconds are rounded."""
    assert whole(amount, unit) == said


@pytest.mark.parametrize(
    ("probability", "said"),
    [
        (-1e-17, "less than 1 in 100 such days"),
        (0.0, "less than 1 in 100 such days"),
        (0.012, "1 in 100 such days"),
        (0.37, "37 in 100 such days"),
        (1.0, "more than 99 in 100 such days"),
    ],
)
def test_nothing_is_certain(probability: float, said: str) -> None:
    """Neither -0 nor 0 nor 100 of 100."""
    assert days_said(probability) == said


@pytest.mark.parametrize(
    ("noun", "count", "said"),
    [
        ("round", 1, "1 round"),
        ("rung", 3, "3 rungs"),
        ("attempt", 2, "2 attempts"),
        ("interval", 1, "1 interval"),
    ],
)
def test_a_shorter_block_says_what_it_ends_after(noun: str, count: int, said: str) -> None:
    """The one that its order goes through."""
    content = {"reasons": [], "work": [], "feasible": True, "blocks": [{"block": "b", "rounds": count}]}
    told = list(volume_told(content, {}, Names(rounds={"b": noun})))
    assert told == [f"So the session ends after {said} at the latest, whatever time is left."]


def test_who_gets_nothing_is_told_nothing_of_amounts() -> None:
    """Neither under a hold nor where it is refused is any set planned, to failure or not; a cap may be why."""
    content, basis = all_that_can_be_said()
    content = {**content, "feasible": True}
    held = {**content, "hold": {"code": "pain"}, "work": []}
    assert list(volume_told(content, basis, NAMES))
    assert list(volume_told(held, basis, NAMES)) == []
    refused = " ".join(volume_told(content | {"feasible": False}, basis, NAMES))
    assert "After the absence at most" in refused
    assert "planned to failure" not in refused and "ordinary beginning would" not in refused
    sore = {**content, "feasible": False, "reasons": [{"code": "no_options", "work": "x1key"}]}
    assert list(volume_told(sore, basis | {"volume_caps": {}}, NAMES)) == []


def test_a_maximum_without_an_aim_is_not_said_to_miss_it() -> None:
    """What a coach has to decide serves no aim and misses none."""
    content, basis = all_that_can_be_said()
    reasons = [
        {"code": "maximal_attempt_needs_coach", "work": "x1key", "block": one["block"]}
        for one in content["blocks"]
    ]
    lines = " ".join(explain({**content, "reasons": reasons}, basis, NAMES).sentences)
    assert "aim" not in lines and "Nothing of the session is prescribed for this athlete" in lines


def test_the_nearest_version_is_named() -> None:
    """With its load, which for a vest says what it is."""
    content, basis = all_that_can_be_said()
    near = {**content["work"][0], "work": "x1key", "variation": "push_up_vest", "load_kg": 10.0}
    near |= {"variation_name": "Push-up with a vest", "assistance_kg": None, "height_cm": None}
    fresh = {"p10": 20.4, "p50": 33.31, "p90": 41.9}
    known = {
        "x1key": {"kind": "load_repetition", "observations": 2, "fresh": fresh, "fresh_unit": "repetitions"}
    }
    names = Names(works=NAMES.works, worn=frozenset({"push_up_vest"}))
    why = explain({**content, "work": [], "closest": [near]}, {**basis, "capacities": known}, names)
    (about,) = [one for one in why.work if one.work == "x1key"]
    assert (
        "Possible with the nearest version (Push-up with a vest, a vest of 10 kg) when fresh: 33 repetitions,"
        " on 8 of 10 such days between 20 and 41."
    ) in about.sentences


def test_own_amounts_are_explained() -> None:
    """Which, and why there is another amount than written; nothing of it where nothing is prescribed."""
    reasons = [{"code": "own_volume", "work": "a"}, {"code": "own_volume", "work": "b"}]
    names = Names(works={"a": "Rowing", "b": "Push-up"})
    (told,) = volume_told({"reasons": reasons, "work": [], "feasible": True}, {}, names)
    assert told.startswith(
        "The amounts of Rowing, Push-up are the athlete's own: as written the session would"
    )
    assert list(volume_told({"reasons": reasons, "work": [], "feasible": False}, {}, names)) == []


def test_from_nothing_to_a_great_many_is_said_to_be_unknown() -> None:
    """A narrower interval, or one that does not begin at nothing, is told."""
    unit = "repetitions"

    assert _possible({"p10": 0.0, "p50": 81.0, "p90": 168.0}, "this version", unit).endswith(
        "is not known yet."
    )
    for low, high in ((0.0, 35.0), (8.0, 168.0)):
        told = _possible({"p10": low, "p50": 12.0, "p90": high}, "this version", unit)
        assert f"between {low:.0f} and {high:.0f}." in told


def test_of_a_vest_the_version_is_new_and_not_the_movement() -> None:
    """Who did 29 push-ups that day is not told that the push-up is new."""
    vest = {
        "work": "a",
        "variation": "push_up_floor",
        "load_kg": 10.0,
        "assistance_kg": None,
        "height_cm": None,
    }
    names = Names(
        works={"a": "Push-up"}, variations={"push_up_floor": "Push-up on the floor"},
        worn=frozenset({"push_up_floor"}),
    )  # fmt: skip
    content = {
        "work": [vest],
        "closest": [],
        "feasible": True,
        "reasons": [{"code": "capped_volume", "work": "a"}],
    }
    [line] = volume_told(content, {}, names)
    assert line.startswith("Push-up on the floor, a vest of 10 kg is new to the athlete: in all")
    [line] = volume_told(content | {"work": []}, {}, names)
    assert line.startswith("Push-up is new")
