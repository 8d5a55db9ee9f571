"""A sign of an emergency in whatever words: stored as another sign, with the words in the note."""

from __future__ import annotations

from typing import Any

import pytest

from athletes.models import Report
from tests.athletes.conftest import Team
from tests.athletes.test_api_safety import at, flag
from tests.athletes.test_report_forms import assert_stored

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.athletes.urls")]


@pytest.mark.parametrize(
    ("change", "sign", "note"),
    [
        ({"sign": "heart attack"}, "other", "heart attack."),
        ({"sign": "heart attack", "note": "On the floor."}, "other", "heart attack. On the floor."),
        ({"sign": ["collapse"]}, "collapse", ""),
        ({"sign": ["fell over", "blue lips"]}, "other", "fell over, blue lips."),
        ({"sign": "Chest pain", "kind": "Red-Flag"}, "chest_pain", ""),
        ({"sign": None, "note": "Something in the chest."}, "other", "Something in the chest."),
        ({"sign": "other", "note": "Odd."}, "other", "Odd."),
        ({"sign": "x" * 900, "note": "n" * 1000}, "other", None),
    ],
)
def test_a_sign_in_other_words_holds_too(
    team: Team, change: dict[str, Any], sign: str, note: str | None
) -> None:
    """Answered with the words for an emergency, and the athlete is held."""
    body = assert_stored(team, team.client(team.cast.athlete).post(at(team, "reports"), flag(**change)))
    assert (body["kind"], body["sign"]) == ("red_flag", sign)
    with team.cast.inside():
        kept = Report.objects.get().note
    assert len(kept) == 1000 if note is None else kept == note
