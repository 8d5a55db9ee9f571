"""An athlete logs a session on a telephone: without a connection in the middle, and stored exactly once."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.chromium import launched
from tests.browser.my_phone import Site, is_kept, phone, reads_well, serving, stored
from tests.services.console.my_athlete import address, attempts, my_world
from tests.support.world import World

pytestmark = pytest.mark.xdist_group("stack")
LOOKED_AT = os.environ.get("SCREENSHOTS")
"""A directory for pictures that somebody looks at."""


@pytest.fixture
def mine(committed: None, settings: Any) -> World:
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = False
    return my_world()


@pytest.fixture
def site(mine: World) -> Iterator[Site]:
    with serving() as site:
        yield site


@pytest.fixture
def chromium(site: Site) -> Iterator[Browser]:
    with launched() as started:
        yield started


def picture(page: Page, name: str, **options: Any) -> None:
    if LOOKED_AT:
        page.screenshot(path=Path(LOOKED_AT, f"{name}.png"), **{"full_page": True, **options})


def opened(chromium: Browser, site: Site, world: World) -> Page:
    """The session on a telephone of its own."""
    page = phone(chromium, site, world.cast.athlete).new_page()
    page.goto(address(world))
    return page


def tick_all(page: Page, first: int = 0) -> int:
    boxes = page.locator(".sets input[type=checkbox]")
    for number in range(first, boxes.count()):
        boxes.nth(number).check()
    return boxes.count()


def test_a_lost_connection_loses_nothing_and_doubles_nothing(
    chromium: Browser, site: Site, mine: World
) -> None:
    """Cut in the middle, reloaded without it, gone on, sent without it, and stored once when it is back."""
    page = opened(chromium, site, mine)
    picture(page, "session", full_page=False)
    page.locator("#sets").scroll_into_view_if_needed()
    page.evaluate("document.querySelector('#sets').scrollIntoView()")
    picture(page, "log", full_page=False)
    reads_well(page)
    is_kept(page)
    page.locator("#f-0-0-done").check()
    page.fill("#f-0-0-amount", "13")
    page.context.set_offline(True)
    page.locator("#f-0-1-done").check()
    page.reload()
    assert page.input_value("#f-0-0-amount") == "13"
    assert page.is_checked("#f-0-1-done")
    picture(page, "kept")
    count = tick_all(page)
    page.fill("#f-0-elapsed", "12:00")
    page.fill("#f-effort", "7")
    page.click("#send")
    page.get_by_text("Not sent yet:").wait_for()
    picture(page, "waiting")
    reads_well(page)
    assert stored(lambda: attempts(mine)) == []
    page.context.set_offline(False)
    page.get_by_role("heading", name="Your result is stored").wait_for()
    picture(page, "stored")
    reads_well(page)
    (attempt,) = stored(lambda: attempts(mine))
    sets = attempt.as_sent["set_log"]["sets"]
    assert (len(sets), sets[0]["repetitions"], attempt.effort) == (count, 13, 7.0)
    assert page.evaluate("Object.keys(localStorage).length") == 0
