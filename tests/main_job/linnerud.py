"""The open Linnerud data: 20 middle-aged men of a fitness club, each with counts of exercises and a weight.

Chin-ups, sit-ups and jumps, body weight in pounds, waist in inches, pulse. First printed with the SAS/STAT
documentation of PLS (A. C. Linnerud, NC State University); here as scikit-learn carries it.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
from dataclasses import dataclass
from typing import Final

from sklearn.datasets import load_linnerud

KG_PER_LB: Final = 0.45359237
HEADER: Final = ("Person", "Tested", "Chins", "Situps", "Jumps", "Weight", "Waist", "Pulse")
COLUMNS: Final = [
    {"column": "Person", "means": "name"},
    {"column": "Tested", "means": "date"},
    {"column": "Chins", "means": "to_failure:chin_up"},
    {"column": "Situps", "means": "to_failure:sit_up"},
    {"column": "Weight", "means": "body_mass_lb"},
]
NOT_ASKED_FOR: Final = ["Jumps", "Waist", "Pulse"]


@dataclass(frozen=True)
class Man:
    name: str
    chin_ups: int
    sit_ups: int
    body_mass_kg: float


def _rows() -> list[tuple[str, list[int]]]:
    data = load_linnerud()
    assert list(data.feature_names) == ["Chins", "Situps", "Jumps"]
    assert list(data.target_names) == ["Weight", "Waist", "Pulse"]
    counts = [[*map(int, done), *map(int, body)] for done, body in zip(data.data, data.target, strict=True)]
    return [(f"Linnerud {number:02d}", values) for number, values in enumerate(counts, start=1)]


def men() -> list[Man]:
    """All 20 in their order."""
    return [Man(name, values[0], values[1], values[3] * KG_PER_LB) for name, values in _rows()]


def as_csv(tested: dt.date) -> str:
    """The whole data set as a gym would send it, with a name and the day of the tests."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(HEADER)
    writer.writerows([name, tested.isoformat(), *values] for name, values in _rows())
    return text.getvalue()
