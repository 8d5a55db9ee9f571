"""Pages of an owner, and what stands beside load, in a real browser: they fit, read well, and lead on."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import Tab, launched, served, tab
from tests.browser.my_fixtures import picture
from tests.browser.test_pages import WIDTHS
from tests.services.access.test_second_factor import set_up
from tests.services.console.browse import browser, page, with_password
from tests.services.console.conftest import result_of, send
from tests.services.console.load_support import train
from tests.services.console.test_heart_rate import log, state
from tests.services.console.test_write import template_of
from tests.support.world import World, add_athlete, drain, make_world

NAME = "Bruna Keel"


@pytest.fixture
def owned(committed: None, settings: Any) -> World:
    """A result, runs with and without heart rate, somebody who reads of it; an owner with a second factor."""
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = False
    world = make_world(starts_in=dt.timedelta(hours=1))
    keel = add_athlete(world, NAME, 62.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    send(world, result_of(world, NAME, effort=7, minutes=50))
    state(world, keel)
    for days in (2, 4):
        log(world, keel, days, mean_heart_rate=150, highest_heart_rate=171)
    with world.cast.inside():
        train(world, keel, 3, 4, 40, "class")
    assert (
        browser(world.cast.coach).get(page(world.cast, f"athletes/{keel.id}/heart-rate")).status_code == 200
    )
    template_of(world)
    with_password(world.cast.owner)
    set_up(world.cast.owner)
    return world


def signed_in(one: Tab, world: World) -> None:
    """By the cookie of a sign-in that had its code."""
    kept = browser(world.cast.owner).cookies
    one.page.context.add_cookies(
        [{"name": name, "value": morsel.value, "url": one.base} for name, morsel in kept.items()]
    )
    one.page.goto(one.base + page(world.cast, "today"))


def looks_right(one: Tab, name: str) -> None:
    one.looked_over()
    picture(one.page, name, full_page=True)


@pytest.mark.parametrize("width", WIDTHS)
def test_work_and_heart_rate_stand_beside_load(owned: World, width: int) -> None:
    with served() as base, launched() as chromium, tab(chromium, base, width) as one:
        signed_in(one, owned)
        one.page.get_by_role("link", name="Athletes", exact=True).click()
        one.page.get_by_role("link", name=NAME).click()
        one.page.get_by_role("link", name="Load", exact=True).click()
        one.page.get_by_role("link", name="Work done").click()
        one.page.get_by_role("heading", name=f"{NAME}: work done").wait_for()
        expect(one.page.get_by_role("row", name="Squat", exact=False).first).to_contain_text("80")
        looks_right(one, f"work-done-{width}")
        one.page.get_by_role("link", name="Load", exact=True).click()
        one.page.get_by_role("link", name="Heart rate").click()
        one.page.get_by_role("heading", name=f"{NAME}: heart rate").wait_for()
        expect(
            one.page.get_by_role("region", name="Training with a heart rate").get_by_role("row")
        ).to_have_count(3)
        looks_right(one, f"heart-rate-{width}")


@pytest.mark.parametrize("width", WIDTHS)
def test_an_owner_decides_and_sees_who_read(owned: World, width: int) -> None:
    with served() as base, launched() as chromium, tab(chromium, base, width) as one:
        signed_in(one, owned)
        one.page.get_by_role("link", name="Organisation", exact=True).click()
        looks_right(one, f"organisation-{width}")
        one.page.get_by_role("button", name="Ask the staff for a second factor").click()
        one.page.get_by_role("button", name="Let the staff work with a password alone").wait_for()
        looks_right(one, f"organisation-asked-{width}")
        one.page.get_by_role("link", name="All that was read").click()
        one.page.get_by_label("What", exact=True).select_option(label="heart rates")
        one.page.get_by_role("button", name="Show").click()
        expect(
            one.page.get_by_role("region", name="Who read what").get_by_role("link", name=NAME)
        ).to_have_count(1)
        looks_right(one, f"health-reads-{width}")
        one.page.get_by_role("link", name=NAME).click()
        one.page.get_by_text(f"Of {NAME} alone.").wait_for()
        looks_right(one, f"health-reads-of-one-{width}")


@pytest.mark.parametrize("width", WIDTHS)
def test_a_session_is_copied_and_put_aside(owned: World, width: int) -> None:
    with served() as base, launched() as chromium, tab(chromium, base, width) as one:
        signed_in(one, owned)
        one.page.get_by_role("link", name="Write", exact=True).click()
        one.page.get_by_role("link", name="Harbour rows").click()
        looks_right(one, f"template-{width}")
        one.page.get_by_role("link", name="Copy it").click()
        one.page.get_by_label("What you call it").fill("Rows, easier")
        looks_right(one, f"template-copy-{width}")
        one.page.get_by_role("button", name="Copy").click()
        one.page.get_by_role("heading", name="Rows, easier").wait_for()
        one.page.get_by_role("link", name="Put it aside").click()
        looks_right(one, f"template-aside-{width}")
        one.page.get_by_role("button", name="Put it aside").click()
        one.page.get_by_role("heading", name="Write", exact=True).wait_for()
        expect(one.page.get_by_role("link", name="Rows, easier")).to_have_count(0)
        one.page.get_by_role("link", name="put aside").click()
        looks_right(one, f"write-aside-{width}")
        one.page.get_by_role("link", name="Rows, easier").click()
        one.page.get_by_role("link", name="Take it up again").click()
        looks_right(one, f"template-taken-up-{width}")
        one.page.get_by_role("button", name="Take it up again").click()
        one.page.get_by_role("link", name="Put it aside").wait_for()
