"""Load, wellness and progression in a real browser, on a telephone and on a desk."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import Tab, is_drawn, launched, served, tab
from tests.browser.my_fixtures import picture
from tests.browser.test_pages import WIDTHS, sign_in
from tests.services.console.browse import page, with_password
from tests.services.console.load_support import answer, ask, group_of, weeks
from tests.services.console.test_progression import sets_to_failure
from tests.support.world import World, add_athlete, drain, make_world


@pytest.fixture
def trained(committed: None, settings: Any) -> World:
    """Three athletes: nine weeks with a few silent days and a bad week of sleep; four weeks; nothing."""
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = False
    world = make_world()
    keel, vane = add_athlete(world, "Bruna Keel", 62.0), add_athlete(world, "Idris Vane")
    add_athlete(world, "Otis Marsh")
    weeks(world, keel, 63, silent=[33, 34, 51])
    weeks(world, vane, 28)
    sets_to_failure(world, keel, "row_45", [(70, 14), (66, 14), (9, 24), (4, 24)])
    sets_to_failure(world, keel, "goblet_squat", [(60, 20), (30, 22), (5, 21)], 16.0)
    sets_to_failure(world, keel, "push_up_floor", [(3, 31)])
    drain(world.cast)
    ask(world)
    for days in range(1, 60):
        if days % 6:
            answer(world, keel, days, sleep=2 if days < 8 else 3 + days % 2, heavy_legs=3 + days % 3)
    group_of(world, keel, vane)
    with_password(world.cast.coach)
    return world


def looks_right(one: Tab, name: str) -> None:
    one.looked_over()
    for chart in one.page.locator("img.chart").all():
        is_drawn(chart)
    picture(one.page, name, full_page=True)


@pytest.mark.parametrize("width", WIDTHS)
def test_from_the_list_to_load_and_wellness(trained: World, width: int) -> None:
    """By what can be followed; another period and the weighted means by the form; a complaint beside its field."""
    with served() as base, launched() as chromium, tab(chromium, base, width) as one:
        sign_in(one, trained)
        one.page.get_by_role("link", name="Athletes").click()
        one.page.get_by_role("link", name="Bruna Keel").click()
        one.page.get_by_role("link", name="Load", exact=True).click()
        looks_right(one, f"load-{width}")
        used = one.page.locator("img.chart").evaluate("one => one.currentSrc")
        assert ("narrow" in used) is (width == 360)
        one.page.get_by_label("Means", exact=True).select_option(label="weighted, the newest count most")
        one.page.get_by_role("button", name="Show").click()
        looks_right(one, f"load-weighted-{width}")
        one.page.get_by_label("From").fill("2020-01-01")
        one.page.get_by_role("button", name="Show").click()
        one.page.get_by_text("At most 371 days are shown at once.").wait_for()
        one.faults.clear()  # the browser itself notes the 400
        looks_right(one, f"load-refused-{width}")
        one.page.get_by_role("link", name="Wellness", exact=True).click()
        expect(one.page.get_by_text("towards the worse end")).to_be_visible()
        looks_right(one, f"wellness-{width}")


@pytest.mark.parametrize("width", WIDTHS)
def test_all_of_a_location_and_of_a_group(trained: World, width: int) -> None:
    with served() as base, launched() as chromium, tab(chromium, base, width) as one:
        sign_in(one, trained)
        one.page.get_by_role("link", name="Athletes").click()
        looks_right(one, f"athletes-{width}")
        one.page.get_by_role("link", name="Load of the week: Harbour").click()
        expect(one.page.get_by_role("rowheader")).to_have_count(3)
        looks_right(one, f"location-{width}")
        one.page.get_by_role("link", name="Athletes").first.click()
        one.page.get_by_role("link", name="Load of the week: Late shift").click()
        expect(one.page.get_by_role("rowheader")).to_have_count(2)
        looks_right(one, f"group-{width}")
        one.page.goto(base + page(trained.cast, f"athletes/{trained.athletes['Otis Marsh'].id}/load"))
        looks_right(one, f"empty-{width}")


@pytest.mark.parametrize("width", WIDTHS)
def test_progression_of_one_and_of_a_group(trained: World, width: int) -> None:
    """Pictures, bests and days that unfold; a movement is chosen for a group."""
    with served() as base, launched() as chromium, tab(chromium, base, width) as one:
        sign_in(one, trained)
        one.page.get_by_role("link", name="Athletes").click()
        one.page.get_by_role("link", name="Bruna Keel").click()
        one.page.get_by_role("link", name="Progression").click()
        looks_right(one, f"progression-{width}")
        one.page.get_by_text("Bests in Push-up").click()
        expect(one.page.get_by_role("rowheader", name="31 repetitions")).to_be_visible()
        one.reads_well()
        one.page.get_by_role("link", name="Athletes").first.click()
        one.page.get_by_role("link", name="Progression: Late shift").click()
        looks_right(one, f"group-progression-none-{width}")
        one.page.get_by_label("Movement").select_option(label="Suspension row")
        one.page.get_by_role("button", name="Show").click()
        expect(one.page.get_by_role("rowheader")).to_have_count(2)
        looks_right(one, f"group-progression-{width}")
