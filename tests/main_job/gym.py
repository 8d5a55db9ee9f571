"""The session and the gym as a coach of such a group would set them up, and the job over HTTP.

Session: 40 chin-ups and 100 sit-ups for time, changing over at every break, 20 s added for each. Chin-ups are
what this group differs in (1 to 17), so everybody shall be able to do 10 to 15 of their own version when
fresh: the range of the ACSM position stand of 2009 for local muscular endurance of novices and intermediates
(from memory). Sit-ups (50 to 251) everybody can do as written; no window.

Gym: a counterweight machine with plates of 5 kg, a belt with plates from 2.5 kg,
boxes: ordinary steps of such equipment (common practice, no source).
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any, Final

import time_machine
from django.utils import timezone

from athletes.actions.priors import take_prior_snapshot
from programming.actions.catalogue import install_catalogue
from services.changes.actions import record_changes
from tests.main_job.linnerud import COLUMNS, as_csv
from tests.programming.support import made_document
from tests.support.api import ApiClient
from tests.support.cast import Cast
from tests.support.world import drain

LOWER, UPPER = 10, 15
PENALTY_S: Final = 20
CAP_S: Final = 1500
WORK: Final = {"chins": 40, "situps": 100}
AS_SUCH: Final = {"load_kg": None, "assistance_kg": None, "height_cm": None}

KIT: Final[dict[str, Any]] = {
    "items": {
        "pull_up_bar": {},
        "box": {"heights_cm": [30, 45, 60]},
        "belt": {"loads_kg": [2.5, 5, 7.5, 10, 15, 20, 25, 30]},
        "counterweight": {"assistances_kg": [5 * plate for plate in range(1, 13)]},
    }
}
BARE_BAR: Final[dict[str, Any]] = {"items": {"pull_up_bar": {}}}

SESSION: Final[dict[str, Any]] = {
    "title": "Bar and mat, turn about",
    "quality": "local_muscular_endurance",
    "blocks": [
        {
            "key": "main",
            "work": [
                {
                    "key": "chins",
                    "movement": "chin_up",
                    "repetitions": WORK["chins"],
                    "variations": [],
                    "as_written": {"variation": "chin_up", **AS_SUCH},
                },
                {
                    "key": "situps",
                    "movement": "sit_up",
                    "repetitions": WORK["situps"],
                    "variations": ["sit_up"],
                    "as_written": {"variation": "sit_up", **AS_SUCH},
                },
            ],
            "rules": {
                "order": "swap_on_break",
                "break": {"counts": "set_ended_early", "penalty_s": PENALTY_S, "penalty": "added"},
                "end": {"kind": "work_done", "cap_s": CAP_S},
                "scored": "time",
                "tie_break": "fewest_breaks",
            },
            "aim": {"conditions": [{"kind": "first_set", "work": "chins", "lower": LOWER, "upper": UPPER}]},
        }
    ],
}


def _body(response: Any, *statuses: int) -> Any:
    assert response.status_code in statuses, response.content
    return response.json()


@dataclass
class Gym:
    """A coach at the API of one organisation, its shipped catalogue in place."""

    cast: Cast
    session: str = ""
    athletes: dict[str, str] | None = None
    read_at: dt.datetime | None = None

    @property
    def client(self) -> ApiClient:
        return ApiClient(self.cast.coach.token, made_document())

    def path(self, rest: str) -> str:
        return f"/api/v1/organisations/{self.cast.org.id}/{rest}"

    def get(self, rest: str, **query: Any) -> Any:
        return _body(self.client.get(self.path(rest), query=query), 200)

    def post(self, rest: str, body: Any, **options: Any) -> Any:
        return _body(self.client.post(self.path(rest), json=body, **options), 200, 201)

    def every(self, rest: str, **query: Any) -> list[dict[str, Any]]:
        """All rows of a list of at most 200."""
        page = self.get(rest, limit=200, **query)
        assert page["next"] is None, "more rows than a test of 20 people has"
        rows: list[dict[str, Any]] = page["items"]
        return rows

    def open(self, kit: dict[str, Any]) -> None:
        with self.cast.inside():
            install_catalogue(org=self.cast.org)
            take_prior_snapshot(org=self.cast.org)
        path = self.path(f"locations/{self.cast.harbour.id}/kit")
        _body(self.client.put(path, json=kit, headers={"If-None-Match": "*"}), 201)

    def take_in(self, tested: dt.date) -> dict[str, Any]:
        """Send the CSV; the report."""
        told = {"csv": as_csv(tested), "columns": COLUMNS}
        report: dict[str, Any] = self.post(
            "imports/athletes", told, query={"location": str(self.cast.harbour.id)}
        )
        self.athletes = {row["name"]: row["athlete"] for row in report["rows"]}
        return report

    def place(self) -> None:
        """Write, publish and place the session, two days ahead."""
        template = self.post("templates", {"name": SESSION["title"], "draft": SESSION})
        revision = self.post(f"templates/{template['id']}/revisions", {"version": template["version"]})
        starts_at = timezone.now() + dt.timedelta(days=2)
        placed = {
            "revision": revision["id"],
            "location": str(self.cast.harbour.id),
            "starts_at": starts_at.isoformat(),
        }
        self.session = self.post("scheduled-sessions", placed)["id"]

    def work_off(self) -> int:
        """What relay and workers do; the number of recomputes."""
        return drain(self.cast)

    def ask_for_everything(self) -> None:
        """Mark every athlete, the session and its ranking as changed."""
        with self.cast.inside():
            record_changes(kind="athlete", subjects=list((self.athletes or {}).values()))
            record_changes(kind="session", subjects=[self.session])
            record_changes(kind="ranking", subjects=[self.session])

    def variation(self, key: str) -> str:
        (row,) = self.every("variations", key=key)
        found: str = row["id"]
        return found

    def readings(self) -> dict[str, Any]:
        """Everything derived, as the API tells it; the moment at which a ranking was computed aside.

        All readings are of the hour of the first, since soreness passes by the hour.
        """
        self.read_at = self.read_at or timezone.now()
        with time_machine.travel(self.read_at, tick=False):
            return self._readings()

    def _readings(self) -> dict[str, Any]:
        attempts = self.every("attempts", session=self.session)
        ranking = self.get(f"scheduled-sessions/{self.session}/ranking")
        del ranking["computed_at"]
        return {
            "prescriptions": self.every("prescriptions", session=self.session),
            "attempts": [self.get(f"attempts/{row['id']}") for row in attempts],
            "ranking": ranking,
            "reviews": self.every("reviews"),
            "capacities": {
                name: self.every(f"athletes/{key}/capacities")
                for name, key in sorted((self.athletes or {}).items())
            },
        }
