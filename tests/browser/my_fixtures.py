"""An athlete, a service and a browser, for tests of the athlete's own pages."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.chromium import launched
from tests.browser.my_phone import Site, phone, serving
from tests.services.console.my_athlete import address, my_world
from tests.support.world import World

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
        page.screenshot(path=Path(LOOKED_AT, f"{name}.png"), **options)


def opened(chromium: Browser, site: Site, world: World) -> Page:
    """The session on a telephone of its own."""
    page = phone(chromium, site, world.cast.athlete).new_page()
    page.goto(address(world))
    return page


def tick_all(page: Page) -> int:
    """Every set is done as planned, in twelve minutes; how many there are."""
    boxes = page.locator(".sets input[type=checkbox]")
    for number in range(boxes.count()):
        boxes.nth(number).check()
    page.fill("#f-0-elapsed", "12:00")
    return boxes.count()


def is_stored(page: Page) -> None:
    page.get_by_role("heading", name="Your result is stored").wait_for()
