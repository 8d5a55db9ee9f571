"""The second factor in a real browser: set up on a telephone's width, and asked for at the next sign-in."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import launched, served, tab
from tests.browser.my_fixtures import picture
from tests.services.access.test_second_factor import code_of
from tests.services.console.browse import PASSWORD, with_password
from tests.support.cast import Cast, make_cast

pytestmark = pytest.mark.xdist_group("stack")


@pytest.fixture
def cast(committed: None, settings: Any) -> Cast:
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = False
    made = make_cast()
    with_password(made.coach)
    return made


def test_it_is_set_up_and_asked_for(cast: Cast) -> None:
    """The picture is drawn by our own server and seen; each page fits, has no violation, and asks no other server."""
    with served() as base, launched() as chromium, tab(chromium, base, 360) as one:
        page = one.page

        def sign_in() -> None:
            page.fill("#id_email", cast.coach.person.email)
            page.fill("#id_password", PASSWORD)
            page.press("#id_password", "Enter")

        page.goto(f"{base}/")
        sign_in()
        page.wait_for_url("**/today")
        page.get_by_role("link", name="Set up a second factor").click()
        one.fits()
        one.reads_well()
        page.fill("#begin-password", PASSWORD)
        page.get_by_role("button", name="Begin").click()
        drawn = page.locator(".qr svg").bounding_box()
        assert drawn is not None and drawn["width"] > 150 and drawn["width"] == drawn["height"]
        one.fits()
        one.reads_well()
        picture(page, "factor-offer", full_page=True)
        secret = page.locator("code").inner_text().replace(" ", "")
        page.fill("#confirm-code", code_of(secret))
        page.get_by_role("button", name="Switch it on").click()
        expect(page.locator("code")).to_have_count(10)
        one.fits()
        one.reads_well()
        picture(page, "factor-codes", full_page=True)
        page.get_by_role("button", name="Sign out").click()
        sign_in()
        page.get_by_role("heading", name="Your code").wait_for()
        one.fits()
        one.reads_well()
        picture(page, "factor-code")
        page.fill("#id_code", code_of(secret, 1))
        page.press("#id_code", "Enter")
        page.wait_for_url("**/today")
        expect(page.get_by_text("Set up a second factor")).to_have_count(0)
