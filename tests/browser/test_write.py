"""Writing a session in a real browser: fields, faults beside them, publishing and placing."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import launched, served, tab
from tests.browser.test_pages import WIDTHS, shown, sign_in  # noqa: F401
from tests.support.world import World


@pytest.mark.parametrize("width", WIDTHS)
def test_a_session_is_written_published_and_placed(shown: World, width: int, request: Any) -> None:  # noqa: F811
    """By its labels alone; what is wrong is told where it stands, and leads there by the keyboard."""
    with served() as base, launched() as chromium, tab(chromium, base, width) as one:
        sign_in(one, shown)
        one.page.get_by_role("link", name="Write", exact=True).click()
        one.looked_over()
        one.page.get_by_label("What you call it").fill("Harbour rows")
        one.page.get_by_role("button", name="Begin").click()
        one.looked_over()
        one.page.get_by_role("button", name="Check", exact=True).click()
        one.page.get_by_text("keep it from being published").wait_for()
        one.looked_over()
        one.page.get_by_role("link", name="Title").press("Enter")
        assert one.page.evaluate("location.hash") == "#f-title"
        one.page.get_by_label("Title").fill("Rows by the water")
        one.page.get_by_label("Meant to train").select_option("local muscular endurance")
        one.page.get_by_label("Movement").first.fill("Suspension row")
        one.page.get_by_label("Amount").first.fill("60")
        one.page.get_by_label("As written").first.fill("row_45")
        one.page.get_by_label("At the latest after").fill("20:00")
        one.page.get_by_label("What", exact=True).first.select_option("the time")
        one.page.get_by_label("At least").first.fill("4:00")
        one.page.get_by_label("At most").first.fill("2:00")
        one.page.keyboard.press("Tab")  # no button: it is checked while somebody writes
        one.page.get_by_text("Make the lower bound at most the upper bound.").first.wait_for()
        expect(one.page.get_by_label("At most").first).to_have_value("2:00")
        one.looked_over()
        one.page.get_by_role("button", name="Check", exact=True).click()
        one.page.get_by_text("it from being published").wait_for()
        one.looked_over()
        one.page.get_by_label("At most").first.fill("15:00")
        one.page.get_by_text("Intervals, ladders, attempts").click()
        one.looked_over()
        one.page.get_by_role("button", name="Store and publish").click()
        one.page.get_by_role("heading", name="Place “Rows by the water”, revision 1").wait_for()
        one.looked_over()
        one.page.get_by_label("Where").select_option(index=0)
        one.page.get_by_label("Day").fill("2030-06-03")
        one.page.get_by_label("Time").fill("18:30")
        one.page.get_by_role("button", name="Place it").click()
        one.page.get_by_role("heading", name="Rows by the water").wait_for()
        one.looked_over()
        one.page.get_by_role("link", name="Write", exact=True).click()
        one.page.get_by_role("link", name="Harbour rows").click()
        one.page.get_by_role("button", name="Write as text").click()
        one.page.get_by_label("The session as a text").wait_for()
        one.looked_over()
