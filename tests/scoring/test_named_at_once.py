"""The version that a check set's answer names is the one of the prescription that follows."""

import pytest

from scoring.check_advice import VERSION
from scoring.models import CheckSet, Prescription
from tests.scoring.test_check_sets import check_sets, current
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

REPETITIONS = (2, 4, 7, 10, 13, 17, 22, 28, 36, 50)


@pytest.mark.parametrize("work", ["a", "b"])
def test_the_version_named_is_the_one_that_is_prescribed(db: None, work: str) -> None:
    """Whatever was done, of all that is left or none: the answer names what the next prescription gives, or says that
    it stays with the version that was checked, and says nothing of the kind where there is nothing to give.
    """
    world = make_world()
    coach = ApiClient(world.cast.coach.token)
    steps = set()
    for number, repetitions in enumerate(REPETITIONS):
        name, rir = f"Nia Moor {number}", (None, 0, 3, 8)[number % 4]
        add_athlete(world, name, 55.0 + 4.0 * number)
        drain(world.cast)
        asked = next(one for one in current(world, name).content["check_sets"] if one["work"] == work)
        ended = {"ended_by": "failure"} if rir is None else {"ended_by": "planned", "rir": rir}
        sent = coach.post(check_sets(world, name), {"work": work, "repetitions": repetitions, **ended})
        told = sent.json()["next"]
        steps.add(told["step"])
        drain(world.cast)
        given = next((one for one in current(world, name).content["work"] if one["work"] == work), None)
        if given is None:
            assert (told["step"], told["option"]) == ("ask_coach", None)
            assert "no version" in told["text"]
            continue
        named = asked if told["option"] is None else told["option"]
        assert {key: named[key] for key in VERSION} == {key: given[key] for key in VERSION}, told
        if told["option"] is not None:
            assert told["option"]["variation_name"] in told["text"], "it is read aloud"
    assert len(steps) >= 2, "all were told the same"


def test_what_cannot_be_told_at_once_loses_no_set(
    db: None, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """Stored, with what it shows and no version; what went wrong stands in the log."""

    world: World = make_world()
    add_athlete(world, "Nia Moor", 70.0)
    drain(world.cast)

    def fails(**_: object) -> None:
        raise RuntimeError("the calculation failed")

    monkeypatch.setattr("scoring.actions.after_check.issue_prescriptions", fails)
    coach = ApiClient(world.cast.coach.token)
    sent = coach.post(check_sets(world, "Nia Moor"), {"work": "a", "repetitions": 2, "ended_by": "failure"})
    assert sent.status_code == 201
    assert (sent.json()["next"]["step"], sent.json()["next"]["option"]) == ("take_easier", None)
    assert "follow it as soon as it is there" in sent.json()["next"]["text"]
    assert "the calculation failed" in caplog.text
    with world.cast.inside():
        assert CheckSet.objects.count() == 1
        assert Prescription.objects.filter(athlete=world.athletes["Nia Moor"]).count() == 1
