"""What is said of how quickly an athlete works."""

from typing import Any

import pytest

from scoring.tempo_words import tempo_told


@pytest.mark.parametrize(
    ("own_s", "usual_s", "sets", "said"),
    [
        (2.62, 2.1, 9, "about 2.6 s, 2.1 s is usual; told by 9 sets with seconds."),
        (1.5, 2.0, 1, "about 1.5 s, 2.0 s is usual; told by a set with seconds."),
        (2.04, 2.0, 9, "about 2.0 s, as is usual; told by 9 sets with seconds."),
        (2.4, 2.0, 0, "about 2.4 s, 2.0 s is usual; told by sets of other movements with seconds."),
    ],
)
def test_it_is_said_beside_what_is_usual(own_s: float, usual_s: float, sets: int, said: str) -> None:
    tempo: dict[str, Any] = {"own_s": own_s, "usual_s": usual_s, "log_sd": 0.1, "sets": sets}
    assert list(tempo_told(tempo)) == [f"A repetition takes the athlete {said}"]


def test_nothing_is_said_of_what_was_not_timed() -> None:
    assert list(tempo_told(None)) == []
