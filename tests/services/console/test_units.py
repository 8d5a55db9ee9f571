"""Weights in the reader's unit: the choice is the person's, and no page forgets it."""

from __future__ import annotations

import re

import pytest

from services.console.pounds import beside, page_beside
from tests.services.console.browse import browser, looked_at, page
from tests.services.console.test_rights import SHOWN, address, filled
from tests.support.api import ApiClient
from tests.support.world import World

LB = 0.45359237
"""Kilograms: the international avoirdupois pound, exactly (NIST SP 811, appendix B.8)."""
UNCONVERTED = re.compile(
    r"\d[ \u00a0]kg\b(?! \([+−\d.]+ (to [+−\d.]+ )?lb\))(?! \([+−\d.]+ to [+−\d.]+\), [+−\d.]+ lb)"
)


@pytest.mark.parametrize(
    ("kilograms", "both"),
    [
        ("16 kg", "16 kg (35.3 lb)"),
        ("912345 kg", "912345 kg (2011376.4 lb)"),
        ("22.5 kg of assistance", "22.5 kg (49.6 lb) of assistance"),
        ("80 kg (75 to 86)", "80 kg (75 to 86), 176 lb (165 to 190)"),
        ("75.0 to 86.0 kg", "75.0 to 86.0 kg (165.3 to 189.6 lb)"),
        ("+4.1 kg (−1.9 to +6.4)", "+4.1 kg (−1.9 to +6.4), +9.0 lb (−4.2 to +14.1)"),
        ("16\u00a0kg", "16\u00a0kg (35.3 lb)"),
        ("Load, kg; 3 kgs; 16 kg (35.3 lb)", "Load, kg; 3 kgs; 16 kg (35.3 lb)"),
    ],
)
def test_pounds_stand_beside_kilograms(kilograms: str, both: str) -> None:
    """By hand from the pound's definition; with as many digits as the kilograms; never twice."""
    assert beside(kilograms) == both
    for kg, lb in re.findall(r"^(\d+(?:\.\d+)?) kg \((\d+(?:\.\d+)?) lb\)", both):
        assert float(lb) == pytest.approx(float(kg) / LB, abs=0.051)


def test_what_is_typed_is_left_alone() -> None:
    """Fields keep their content; what is read aloud in place of a picture gets its pounds."""
    html = '<p>16 kg</p><textarea id="a">I saw 16 kg</textarea><input value="16 kg"><img alt="From 16 kg on">'
    told = page_beside(html)
    assert told.startswith("<p>16 kg (35.3 lb)</p>")
    assert '<textarea id="a">I saw 16 kg</textarea><input value="16 kg">' in told
    assert 'alt="From 16 kg (35.3 lb) on"' in told


@pytest.mark.django_db
def test_no_page_of_the_staff_forgets_the_reader_s_unit(prescribed: World) -> None:
    """Each of them, for who reads pounds; the picture has one unit; back again, there are no pounds."""
    ids, coach = filled(prescribed), browser(prescribed.cast.coach)
    there = page(prescribed.cast, "athletes")
    sent = coach.post("/units", {"weights": "lb", "next": there})
    assert (sent.status_code, sent.headers["Location"]) == (303, there)
    assert ApiClient(prescribed.cast.coach.token).get("/api/v1/me").json()["weights"] == "lb"
    with_weights = set()
    for name in SHOWN:
        content = coach.get(address(prescribed.cast, name, ids))
        if content.headers["Content-Type"] == "image/svg+xml":
            continue
        text = looked_at(content).text
        assert UNCONVERTED.search(text) is None, (name, UNCONVERTED.search(text))
        with_weights |= {name} if " lb" in text else set()
    assert {"athlete", "history", "sheet", "brief", "review", "work-done"} <= with_weights
    picture = coach.get(address(prescribed.cast, "history-chart", ids)).content.decode()
    assert re.search(r">\d+ lb \(\d+ to \d+\)<", picture) and " kg" not in picture
    coach.post("/units", {"weights": "kg", "next": there})
    assert " lb" not in looked_at(coach.get(address(prescribed.cast, "athlete", ids))).text


@pytest.mark.django_db
def test_a_unit_that_is_none_is_refused_and_nobody_else_is_asked(prescribed: World) -> None:
    """By the interface's own words; without a sign-in the form leads to one; another site is not gone to."""
    coach = browser(prescribed.cast.coach)
    assert coach.post("/units", {"weights": "stone"}).status_code == 400
    assert (
        coach.post("/units", {"weights": "lb", "next": "https://elsewhere.example/"}).headers["Location"]
        == "/"
    )
    assert browser().post("/units", {"weights": "lb"}).status_code == 302
    assert " lb" not in looked_at(browser(prescribed.cast.owner).get(page(prescribed.cast, "athletes"))).text
    me = ApiClient(prescribed.cast.owner.token)
    assert me.get("/api/v1/me").json()["weights"] == "kg"
    assert me.put("/api/v1/me/units", {"weights": "stone"}).status_code == 400
