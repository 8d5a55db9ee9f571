"""Two sessions that a coach has in mind, from the API through the worker to what each athlete is told.

The numbers are those of the design: eighty push-ups with a first set of 20 to 30, for three people of very different
strength; and rounds of 16 kJ on a bicycle with twelve presses, for somebody whom the arms stop and somebody whom the
breath stops. That these are the right answers is common practice, no source. The same without a database:
tests/scoring/calc/test_scenarios.py.
"""

from __future__ import annotations

import datetime as dt
from typing import Any, Final

import pytest
from django.utils import timezone

from tests.main_job.gym import AS_SUCH, Gym
from tests.support.cast import Cast

pytestmark = pytest.mark.django_db

BOXES: Final = {"box": {"heights_cm": [30, 45, 60]}, "bar_floor": {}}
RESERVE_J: Final = 18_000.0
J_PER_KCAL: Final = 1067.0  # of the bicycle, as the shipped catalogue says: 15 kcal are 16 kJ
TRIALS_S: Final = (180.0, 420.0, 900.0)


def document(
    title: str, work: list[dict[str, Any]], aim: list[dict[str, Any]], **rules: Any
) -> dict[str, Any]:
    usual = {
        "order": "in_sequence",
        "break": {"counts": "none"},
        "end": {"kind": "work_done", "cap_s": 2400},
        "scored": "time",
        "tie_break": "none",
    }
    block = {"key": "main", "work": work, "rules": {**usual, **rules}, "aim": {"conditions": aim}}
    return {"title": title, "quality": "local_muscular_endurance", "blocks": [block]}


EIGHTY: Final = document(
    "Eighty push-ups",
    [
        {
            "key": "push",
            "movement": "push_up",
            "repetitions": 80,
            "variations": ["push_up_hands_raised", "push_up_knees", "push_up_floor"],
            "as_written": {"variation": "push_up_floor", **AS_SUCH},
        }
    ],
    [
        {"kind": "first_set", "work": "push", "lower": 20, "upper": 30},
        {"kind": "later_sets", "work": "push", "lower": 10},
    ],
    **{"break": {"counts": "set_ended_early", "penalty_s": 30, "penalty": "added"}},
)


def rounds(pair_kg: float, aim: list[dict[str, Any]]) -> dict[str, Any]:
    """Five rounds of fifteen calories and twelve presses with two dumbbells of so many kilograms together."""
    work = [
        {
            "key": "bike",
            "movement": "bike",
            "energy_kcal": 15,
            "variations": [],
            "as_written": {"variation": "bike_stationary", **AS_SUCH},
        },
        {
            "key": "press",
            "movement": "dumbbell_press",
            "repetitions": 12,
            "variations": [],
            "as_written": {"variation": "overhead_press_dumbbells", **AS_SUCH, "load_kg": pair_kg},
        },
    ]
    return document(f"Ride and press {pair_kg:g}", work, aim, order="rounds", rounds=5)


class Floor(Gym):
    """One gym; everything below goes over the API."""

    def join(self, name: str, body_mass_kg: float) -> str:
        """A new athlete of the harbour, weighed a month ago."""
        made = self.post("athletes", {"name": name, "location": str(self.cast.harbour.id)})
        when = timezone.now() - dt.timedelta(days=30)
        weighed = {"body_mass_kg": body_mass_kg, "measured_at": when.isoformat()}
        self.post(f"athletes/{made['id']}/body-mass", weighed)
        found: str = made["id"]
        return found

    def test(self, athlete: str, variation: str, days_ago: int = 6, **told: Any) -> None:
        when = timezone.now() - dt.timedelta(days=days_ago)
        body = {"variation": self.variation(variation), "performed_at": when.isoformat(), **told}
        self.post(f"athletes/{athlete}/assessments", body)

    def ride(self, athlete: str, critical_w: float) -> None:
        """Three trials of somebody with this power and a reserve of 18 kJ: work = CP t + W'."""
        for days_ago, seconds in zip((12, 9, 6), TRIALS_S, strict=True):
            kcal = (critical_w * seconds + RESERVE_J) / J_PER_KCAL
            told = {"kind": "time_trial", "energy_kcal": round(kcal, 2), "elapsed_s": seconds}
            self.test(athlete, "bike_stationary", days_ago, **told)

    def write(self, draft: dict[str, Any]) -> str:
        """Publish it and place it at the harbour in two days."""
        template = self.post("templates", {"name": draft["title"], "draft": draft})
        revision = self.post(f"templates/{template['id']}/revisions", {"version": template["version"]})
        placed = {
            "revision": revision["id"],
            "location": str(self.cast.harbour.id),
            "starts_at": (timezone.now() + dt.timedelta(days=2)).isoformat(),
        }
        found: str = self.post("scheduled-sessions", placed)["id"]
        return found

    def given(self, session: str, athlete: str) -> dict[str, Any]:
        """The one prescription that holds."""
        (row,) = self.every("prescriptions", session=session, athlete=athlete, current="true")
        return row


def test_eighty_push_ups_for_three_people(cast: Cast) -> None:
    """62 kg and 6 on the floor: hands at 60 cm with a check set; 80 kg and 22: the floor; 90 kg and 48: no answer."""
    floor = Floor(cast)
    floor.open({"items": {**BOXES, "vest": {"loads_kg": [10]}}})
    people = {"Ruta Penn": (62.0, 6), "Idris Vane": (80.0, 22), "Tove Ash": (90.0, 48)}
    ids = {name: floor.join(name, mass) for name, (mass, _) in people.items()}
    for name, (_, count) in people.items():
        floor.test(ids[name], "push_up_floor", kind="to_failure", repetitions=count)
    session = floor.write(EIGHTY)
    floor.work_off()
    weak, usual, strong = (floor.given(session, ids[name]) for name in people)

    (work,), (check,) = weak["content"]["work"], weak["content"]["check_sets"]
    assert weak["feasible"]
    assert (work["variation"], work["height_cm"]) == ("push_up_hands_raised", 60.0)
    assert (check["variation"], check["height_cm"]) == ("push_up_hands_raised", 60.0)
    assert 20 <= weak["basis"]["capacities"]["push"]["fresh"]["p50"] <= 30

    (work,) = usual["content"]["work"]
    assert usual["feasible"]
    assert (work["variation"], work["load_kg"], usual["content"]["as_written"]) == (
        "push_up_floor",
        None,
        True,
    )

    assert not strong["feasible"]
    assert strong["content"]["work"] == []
    assert [one["code"] for one in strong["content"]["reasons"]] == ["too_easy_at_hardest"]
    loads = {one["option"]["load_kg"] for one in strong["basis"]["candidates"]}
    assert loads == {None, 10.0}, "a load was invented"
    assert "choose_harder_movement_or_more_repetitions" in strong["content"]["alternatives"]
    assert strong["basis"]["capacities"]["push"]["fresh"]["p50"] >= 40


@pytest.mark.parametrize(
    ("critical_w", "presses", "by", "faster"),
    [
        (280.0, 14, "local_muscle", True),
        (150.0, 35, "breathing", False),
    ],
)
def test_what_stops_in_rounds_of_riding_and_pressing(
    cast: Cast, critical_w: float, presses: int, by: str, faster: bool
) -> None:
    """Strong legs and 14 presses: lighter dumbbells help; weak legs and 35 presses: they do not."""
    floor = Floor(cast)
    floor.open({"items": {**BOXES, "bike": {}, "dumbbell": {"loads_kg": [20, 30]}}})
    athlete = floor.join("Idris Vane", 80.0)
    floor.ride(athlete, critical_w)
    floor.test(athlete, "overhead_press_dumbbells", kind="to_failure", repetitions=presses, load_kg=30)
    local = [{"kind": "stopped_by", "by": "local_muscle"}]
    time = [{"kind": "time", "upper": 2400}]
    sessions = [floor.write(draft) for draft in (rounds(30, time), rounds(20, time), rounds(30, local))]
    floor.work_off()
    heavy, light, asked = (floor.given(session, athlete) for session in sessions)

    known = heavy["basis"]["capacities"]
    assert known["bike"]["critical"]["median"] == pytest.approx(critical_w, rel=0.03)
    assert known["bike"]["reserve"]["median"] == pytest.approx(RESERVE_J, rel=0.15)
    assert [one["content"]["as_written"] for one in (heavy, light)] == [True, True]
    assert heavy["forecast"]["stops"]["by"] == by
    medians = [one["content"]["expected"]["score_s"]["p50"] for one in (heavy, light)]
    assert (medians[1] < 0.85 * medians[0]) is faster
    assert (medians[1] > 0.93 * medians[0]) is not faster
    assert asked["feasible"] is faster
    codes = [one["code"] for one in asked["content"]["reasons"]]
    assert ("stopped_by_something_else" in codes) is not faster
