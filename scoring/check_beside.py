"""What else of the session changes with a check set, or is still to be checked: nobody begins on half of the news."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from programming.calc.revision import UNITS

Content = Mapping[str, Any]

SHOWN: Final = ("variation", "load_kg", "assistance_kg", "height_cm", *UNITS)
CHANGES: Final = "Other work changes with it: read the new prescription first."


def beside_told(standing: Content, following: Content, work: str) -> str:
    """Sentences to put behind what is said of the work, "" where nothing else changes and nothing is to be checked.

    standing: the content that the set was sent to; following: the one that comes of it.
    """
    before, after = _others(standing, work), _others(following, work)
    checks = {one["work"]: one["variation_name"] for one in following["check_sets"] if one["work"] != work}
    gone = {one["work"] for one in standing["check_sets"]} - {work} - checks.keys()
    said = [CHANGES] if before != after or gone else []
    if checks:
        sets = "the check set of" if len(checks) == 1 else "the check sets of"
        said.append(f"Still to be done first: {sets} {' and '.join(dict.fromkeys(checks.values()))}.")
    return "".join(f" {one}" for one in said)


def _others(content: Content, work: str) -> dict[str, tuple[Any, ...]]:
    """By work what is asked of it, without the one that was checked."""
    return {
        one["work"]: tuple(one.get(name) for name in SHOWN) for one in content["work"] if one["work"] != work
    }
