"""The pages in a real browser, on a telephone and on a desk: they fit, read well, and print."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import Tab, is_drawn, launched, served, tab
from tests.services.console.browse import PASSWORD, with_password
from tests.services.console.conftest import result_of, send
from tests.support.world import World, add_athlete, drain, make_world

WIDTHS = (360, 1440)


@pytest.fixture
def shown(committed: None, settings: Any) -> World:
    """A session with versions, one without, a result, and one that does not add up."""
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = (
        False  # the server of a test has no certificate
    )
    world = make_world(starts_in=dt.timedelta(hours=1))
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    add_athlete(world, "Idris Vane", 84.0, {"row_45": 18, "goblet_squat": 26})
    add_athlete(world, "Otis Marsh")
    drain(world.cast)
    send(world, result_of(world, "Bruna Keel", effort=7))
    send(world, result_of(world, "Idris Vane", last=20))
    with_password(world.cast.coach)
    return world


def sign_in(one: Tab, world: World) -> None:
    one.page.goto(f"{one.base}/")
    one.fits()
    one.reads_well()
    one.page.fill("#id_email", world.cast.coach.person.email)
    one.page.fill("#id_password", PASSWORD)
    one.page.press("#id_password", "Enter")
    one.page.wait_for_url("**/today")


@pytest.mark.parametrize("width", WIDTHS)
def test_from_the_sign_in_to_the_sheet(shown: World, width: int) -> None:
    """By what can be read and followed on each page; each fits, has no violation, and asks no other server."""
    day = shown.session.local_date.isoformat()
    with served() as base, launched() as chromium, tab(chromium, base, width) as one:
        sign_in(one, shown)
        one.page.goto(f"{one.page.url}?date={day}")
        one.fits()
        one.reads_well()
        one.page.get_by_role("link", name="Rows and goblet squats, turn about").click()
        for heading in ("Who does what", "What came back", "Ranking"):
            expect(one.page.get_by_role("heading", name=heading)).to_be_visible()
        expect(one.page.get_by_role("row", name=re.compile("Bruna Keel.*11:20")).first).to_be_visible()
        one.fits()
        one.reads_well()
        one.page.get_by_role("link", name="Bruna Keel: set by set").click()
        expect(
            one.page.get_by_role("heading", name="Bruna Keel: aim, forecast and what came")
        ).to_be_visible()
        is_drawn(one.page.locator("img.chart"))
        one.fits()
        one.reads_well()
        one.page.go_back()
        one.page.get_by_role("link", name="Session sheet, to print").click()
        expect(one.page.get_by_role("columnheader", name="Set 1", exact=True)).to_be_visible()
        one.fits()
        one.reads_well()


@pytest.mark.parametrize("width", WIDTHS)
def test_athletes_and_what_is_to_be_looked_at(shown: World, width: int) -> None:
    """An athlete with a brief, the list that waits, and a decision taken by the keyboard alone."""
    with served() as base, launched() as chromium, tab(chromium, base, width) as one:
        sign_in(one, shown)
        for place in ("Athletes", "Bruna Keel", "Squat", "Bruna Keel", "Brief of"):
            one.page.get_by_role("link", name=place, exact=place == "Squat").first.click()
            one.fits()
            one.reads_well()
            if place == "Squat":
                is_drawn(one.page.locator("img.chart"))
        one.page.get_by_role("link", name="To look at").click()
        one.fits()
        one.reads_well()
        one.page.get_by_role("link", name="Idris Vane").click()
        one.fits()
        one.reads_well()
        one.page.get_by_role("button", name="Decide").press("Enter")
        expect(one.page.get_by_text("This field is required.").first).to_be_visible()
        one.faults.clear()  # the browser itself notes the 400
        one.reads_well()
        one.page.get_by_role("radio", name="No: it leaves the ranking").press("Space")
        one.page.get_by_label("Why").press_sequentially("I counted twenty.")
        one.page.get_by_role("button", name="Decide").press("Enter")
        one.page.get_by_text("Nothing waits.").wait_for()
        one.page.get_by_role("button", name="Sign out").click()
        one.page.wait_for_url("**/sign-in")


def test_the_first_key_leads_past_the_head(shown: World) -> None:
    """Whoever reads by keyboard skips the line through the pages, and sees where they are."""
    with served() as base, launched() as chromium, tab(chromium, base, 1440) as one:
        sign_in(one, shown)
        one.page.keyboard.press("Tab")
        focused = "document.activeElement.textContent"
        assert one.page.evaluate(focused) == "Skip to the content"
        one.page.keyboard.press("Enter")
        assert one.page.evaluate("document.activeElement.id") == "main"
        one.page.keyboard.press("Tab")
        assert one.page.evaluate(focused) == "Day before"
        assert one.page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"


def test_the_sheet_prints_on_one_page(shown: World) -> None:
    """A4 on its side, one page, also with twenty athletes more."""
    crowd = 20
    for number in range(crowd):
        add_athlete(shown, f"Somebody {number}", 70.0, {"row_45": 12 + number % 5, "goblet_squat": 20})
    drain(shown.cast)
    path = f"/organisations/{shown.cast.org.id}/sessions/{shown.session.id}/sheet"
    with served() as base, launched() as chromium, tab(chromium, base, 1440) as one:
        sign_in(one, shown)
        one.page.goto(base + path)
        expect(one.page.get_by_role("rowheader")).to_have_count(3 + crowd)
        printed = one.page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 1
    (box,) = re.findall(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", printed)
    assert [round(float(side)) for side in box] == [842, 595]  # A4 in points: 297 mm and 210 mm
