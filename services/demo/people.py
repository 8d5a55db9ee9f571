"""Who is in the demo. Every name, place and number is invented."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

ORGANISATION: Final = "Kittiwake Strength Collective"
MILL, QUAY, REMOTE = "Old Mill", "Quay Nine", "Remote"


@dataclass(frozen=True)
class Member:
    """Somebody who signs in; `place` for location staff."""

    key: str
    name: str
    role: str
    place: str | None = None

    @property
    def email(self) -> str:
        return f"{self.name.lower().replace(' ', '.')}@example.org"


@dataclass(frozen=True)
class DemoAthlete:
    """An athlete. upper, lower, engine: strength and endurance as multiples of the median.

    kit: own equipment when remote; away: has sent nothing for more than two weeks; gain: by which share the strength
    grows in a week, where it is not as usual.
    """

    name: str
    place: str
    sex: str
    born: int
    mass_kg: float
    upper: float
    lower: float
    kit: Mapping[str, Any] | None = None
    alone: bool = False
    newcomer: bool = False
    unweighed: bool = False
    limit: str | None = None
    engine: float = 1.0
    away: bool = False
    gain: float | None = None


MEMBERS: Final = (
    Member("owner", "Maren Holt", "owner"),
    Member("coach", "Desta Ruiz", "coach"),
    Member("mill_staff", "Pim Adeyemi", "location_staff", MILL),
    Member("quay_staff", "Agata Lund", "location_staff", QUAY),
    Member("athlete", "Tama Whetu", "athlete"),
    Member("lone_athlete", "Ulla Brekke", "athlete"),
)

_GARAGE = {
    "rowing_machine": {},
    "bench": {},
    "box": {"heights_cm": [45]},
    "barbell": {"loads_kg": [20 + 5.0 * step for step in range(21)]},
    "kettlebell": {"loads_kg": [16, 24]},
    "vest": {"loads_kg": [10]},
}
_TRAVEL = {"kettlebell": {"loads_kg": [12, 16, 20]}, "vest": {"loads_kg": [5, 10]}}
_FLAT = {"box": {"heights_cm": [30]}, "kettlebell": {"loads_kg": [8, 12]}}
_CELLAR = {"rings": {}, "box": {"heights_cm": [30, 60]}, "kettlebell": {"loads_kg": [16]}}

ATHLETES: Final = (
    DemoAthlete("Abena Quartey", MILL, "female", 1991, 63.0, 1.05, 1.00),
    DemoAthlete("Bjarne Tveit", MILL, "male", 1984, 88.0, 1.20, 1.15, gain=0.028),
    DemoAthlete("Catalina Roig", MILL, "female", 1998, 57.0, 0.82, 0.95),
    DemoAthlete("Dmitar Vasilev", MILL, "male", 1976, 94.0, 0.92, 0.85),
    DemoAthlete("Elif Karaca", MILL, "female", 1989, 68.0, 0.68, 0.82),
    DemoAthlete("Farrukh Amirov", MILL, "male", 2001, 76.0, 1.30, 1.25),
    DemoAthlete("Greta Lindholm", MILL, "female", 1968, 71.0, 0.62, 0.74),
    DemoAthlete("Hinewai Parata", MILL, "female", 1995, 79.0, 0.96, 1.15),
    DemoAthlete("Ivo Marchetti", MILL, "male", 1959, 82.0, 0.70, 0.66),
    DemoAthlete("Jin Aratani", MILL, "male", 2004, 69.0, 1.05, 1.00, newcomer=True),
    DemoAthlete("Kalinda Perera", QUAY, "female", 1993, 54.0, 1.12, 1.10, engine=1.25),
    DemoAthlete("Lorcan Devane", QUAY, "male", 1990, 101.0, 1.02, 1.20, engine=0.8),
    DemoAthlete("Mireille Aubin", QUAY, "female", 1987, 60.0, 0.95, 1.00, limit="shoulder"),
    DemoAthlete("Nikolaj Frost", QUAY, "male", 1982, 85.0, 1.08, 1.00, limit="lower_back"),
    DemoAthlete("Oluwaseun Bako", QUAY, "male", 1999, 90.0, 1.42, 1.30, engine=0.75),
    DemoAthlete("Paloma Serrano", QUAY, "female", 2002, 66.0, 0.47, 0.90, newcomer=True),
    DemoAthlete("Quentin Marais", QUAY, "male", 1971, 97.0, 0.75, 0.90, engine=0.9),
    DemoAthlete("Rukmini Iyer", QUAY, "female", 1980, 58.0, 0.78, 0.80, engine=1.15),
    DemoAthlete("Soraya Haddad", QUAY, "female", 1996, 64.0, 0.90, 0.95, newcomer=True),
    DemoAthlete("Tama Whetu", REMOTE, "male", 1994, 92.0, 1.15, 1.10, kit=_GARAGE),
    DemoAthlete(
        "Ulla Brekke", REMOTE, "female", 1978, 73.0, 0.72, 0.80, kit={"box": {"heights_cm": [45]}}, alone=True
    ),
    DemoAthlete("Viktor Sandoval", REMOTE, "male", 1988, 80.0, 1.00, 1.05, kit=_TRAVEL, away=True),
    DemoAthlete("Wanjiru Mbeki", REMOTE, "female", 2000, 55.0, 0.92, 1.10, kit=_FLAT),
    DemoAthlete("Xenia Dragan", REMOTE, "female", 1985, 70.0, 0.85, 0.90, kit=_CELLAR),
    DemoAthlete("Yusuf Rahimi", REMOTE, "male", 1966, 78.0, 0.85, 0.78, kit={}, alone=True),
    DemoAthlete(
        "Zofia Kaminska", REMOTE, "female", 1992, 62.0, 0.88, 1.00, kit=_FLAT, newcomer=True, unweighed=True
    ),
)
