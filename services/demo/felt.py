"""How training felt and how long it took, and what each of the demo's people says of their days. All invented."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from services.demo.people import ATHLETES, DemoAthlete
from services.demo.scene import SEED

FORGOTTEN: Final = 0.08
WARM_UP_MIN: Final = (26.0, 42.0)
RATER: Final = "Dmitar Vasilev"
"""Says how hard it was, and for some weeks no more how long it took: the load of such days is not known."""
MINUTES_SAID_UNTIL: Final = 18
WORN: Final = "Elif Karaca"
"""Has taken up a class of her own in the last days, and says of herself that the legs are heavy."""
WORN_DAYS: Final = 6
DILIGENT: Final = ("Abena Quartey", WORN, "Farrukh Amirov", "Kalinda Perera", "Tama Whetu")
"""Miss no session, and leave no day unsaid."""
REST_SAID: Final = 0.35
REST_SAID_DAYS: Final = 20
"""Of the others: how often, and since when, they say that a day was one of rest."""
SILENT: Final = ("Yusuf Rahimi", "Greta Lindholm")
"""Say of no day that it was one of rest."""


@dataclass(frozen=True)
class Beside:
    """Training beside the programme: every so many days, from the oldest on, until `until` days ago.

    metres_a_minute: None where nobody measures the way; rate: mean heart rate of who wears a strap.
    """

    modality: str
    every: int
    offset: int
    minutes: float
    effort: float
    metres_a_minute: float | None = None
    rate: float | None = None
    first: int = 41
    until: int = 1

    def is_on(self, days_ago: int) -> bool:
        return self.until <= days_ago <= self.first and days_ago % self.every == self.offset


BESIDE: Final[dict[str, tuple[Beside, ...]]] = {
    "Abena Quartey": (Beside("cycling", 7, 1, 40.0, 3.0, 330.0),),
    "Bjarne Tveit": (Beside("cycling", 5, 2, 55.0, 4.0, 410.0),),
    WORN: (
        Beside("walking", 7, 4, 60.0, 2.0, 85.0),
        Beside("class", 4, 1, 50.0, 5.0, until=WORN_DAYS + 1),
        Beside("class", 1, 0, 55.0, 6.0, first=WORN_DAYS),
    ),
    "Greta Lindholm": (Beside("walking", 3, 1, 70.0, 2.0, 80.0),),
    "Kalinda Perera": (Beside("running", 4, 3, 45.0, 5.0, 185.0),),
    "Lorcan Devane": (Beside("rowing", 7, 2, 30.0, 6.0, 225.0),),
    "Oluwaseun Bako": (Beside("sport", 7, 5, 90.0, 7.0),),
    "Rukmini Iyer": (Beside("swimming", 7, 1, 40.0, 4.0, 35.0),),
    "Tama Whetu": (
        Beside("running", 5, 4, 50.0, 5.0, 175.0, rate=148.0),
        Beside("rowing", 7, 1, 35.0, 7.0, 235.0, rate=161.0),
    ),
    "Wanjiru Mbeki": (Beside("running", 4, 1, 35.0, 4.0, 190.0),),
}


def felt(person: DemoAthlete, days_ago: int, elapsed_s: float) -> dict[str, Any]:
    """Effort and minutes of a session as they are sent with its result; some forget the minutes, some both."""
    number = [one.name for one in ATHLETES].index(person.name)
    rng = np.random.default_rng([SEED, 8, number, days_ago])
    usual = 5.5 + (number % 5) * 0.5
    effort = float(np.clip(round(usual + rng.normal(0.0, 0.9)), 3, 10))
    minutes = float(round(elapsed_s / 60.0 + rng.uniform(*WARM_UP_MIN)))
    if person.name == RATER and days_ago < MINUTES_SAID_UNTIL:
        return {"effort": effort}
    if person.name not in DILIGENT and rng.random() < FORGOTTEN:
        return {}
    return {"effort": effort, "minutes": minutes}


def trained_beside(name: str, days_ago: int) -> list[Beside]:
    """What somebody does of their own on a day."""
    return [one for one in BESIDE.get(name, ()) if one.is_on(days_ago)]


def says_rest(person: DemoAthlete, days_ago: int) -> bool:
    """Whether a day without training is told as one of rest."""
    if person.name in DILIGENT:
        return True
    if person.newcomer or person.away or person.name in SILENT or days_ago > REST_SAID_DAYS:
        return False
    number = [one.name for one in ATHLETES].index(person.name)
    return bool(np.random.default_rng([SEED, 9, number, days_ago]).random() < REST_SAID)
