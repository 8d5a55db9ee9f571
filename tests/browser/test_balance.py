"""Training balance in a real browser: pictures beside tables, and the form of what is wanted."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import is_drawn, launched, served, tab
from tests.browser.test_pages import WIDTHS, shown, sign_in  # noqa: F401
from tests.services.console.test_rights import wanted
from tests.support.world import World


@pytest.mark.parametrize("width", WIDTHS)
def test_balance_and_what_is_wanted(shown: World, width: int, request: Any) -> None:  # noqa: F811
    """Group, athlete and form; the narrow picture on a telephone; a wrong sum is told where it stands."""
    wanted(shown)
    with served() as base, launched() as chromium, tab(chromium, base, width) as one:
        sign_in(one, shown)
        one.page.get_by_role("link", name="Balance", exact=True).click()
        one.looked_over()
        one.page.get_by_role("link", name="Early birds", exact=True).click()
        one.looked_over()
        picture = one.page.locator("img.chart").first
        is_drawn(picture)
        assert ("narrow" in picture.evaluate("one => one.currentSrc")) == (width < 640)
        one.page.get_by_label("From", exact=True).fill("2020-01-01")
        one.page.get_by_role("button", name="Show").click()
        expect(one.page.get_by_text("At most 366 days at once.")).to_be_visible()
        one.faults.clear()  # the browser itself notes the 400
        one.looked_over()
        one.page.get_by_role("link", name="Athletes", exact=True).click()
        one.page.get_by_role("link", name="Bruna Keel").click()
        one.page.get_by_role("link", name="Training balance").click()
        expect(one.page.get_by_label("Beside what is wanted of")).to_be_visible()
        one.looked_over()
        one.page.get_by_role("link", name="What is wanted").click()
        one.page.get_by_role("link", name="Shares that are wanted of everybody").click()
        one.looked_over()
        one.page.get_by_label("Power", exact=True).first.fill("20")
        one.page.get_by_role("button", name="Write down").press("Enter")
        expect(one.page.get_by_text("They add up to 70 %; together they must be 100 %.")).to_be_visible()
        one.faults.clear()
        one.looked_over()
        one.page.get_by_label("Power", exact=True).first.fill("50")
        one.page.get_by_role("button", name="Write down").press("Enter")
        one.page.get_by_role("heading", name="Training balance").wait_for()
