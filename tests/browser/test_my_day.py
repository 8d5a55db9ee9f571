"""An athlete's own day on a telephone: it fits, reads well, and what is typed outlives a lost connection."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, expect

from athletes.models import TrainingLog, WellnessAnswer
from tests.browser.my_fixtures import picture
from tests.browser.my_phone import Site, is_kept, phone, reads_well, stored
from tests.services.console.browse import page as address_of
from tests.services.console.load_support import ask
from tests.support.world import World

pytestmark = pytest.mark.xdist_group("stack")


def opened(chromium: Browser, site: Site, mine: World, path: str) -> Page:
    page = phone(chromium, site, mine.cast.athlete).new_page()
    page.goto(address_of(mine.cast, path))
    return page


def logs(mine: World) -> list[TrainingLog]:
    with mine.cast.inside():
        return list(TrainingLog.objects.all())


def fill(page: Page) -> None:
    page.get_by_label("What did you do?").select_option("running")
    page.get_by_label("How many minutes, all of it?").fill("45")
    page.get_by_label("Taken as a whole").select_option("4")
    page.get_by_label("Notes").fill("Along the quay.")


def test_from_the_list_to_a_log_and_a_day_of_rest(chromium: Browser, site: Site, mine: World) -> None:
    """By what can be followed and pressed; every page fits and reads well."""
    page = opened(chromium, site, mine, "my/sessions")
    reads_well(page)
    page.get_by_role("link", name="Training beside the programme, and rest").click()
    picture(page, "my-day", full_page=True)
    reads_well(page)
    fill(page)
    page.get_by_label("How many minutes, all of it?").fill("long")
    page.get_by_role("button", name="Log it").click()
    page.get_by_role("heading", name="Not stored").wait_for()
    picture(page, "my-day-refused", full_page=True)
    reads_well(page)
    expect(page.get_by_label("Notes")).to_have_value("Along the quay.")
    page.get_by_label("How many minutes, all of it?").fill("45")
    page.get_by_role("button", name="Log it").click()
    page.get_by_text("Stored. Thank you.").wait_for()
    expect(page.get_by_label("Notes")).to_have_value("")
    page.reload()
    expect(page.locator(".kept")).to_be_hidden()
    page.get_by_role("button", name="No training on this day").click()
    page.get_by_text("No training on this day: you said so.").wait_for()
    picture(page, "my-day-stored", full_page=True)
    reads_well(page)


def test_what_is_typed_outlives_a_lost_connection(chromium: Browser, site: Site, mine: World) -> None:
    """Without a connection nothing is lost and the page opens; where the answer was lost, it is stored once."""
    page = opened(chromium, site, mine, "my/day")
    is_kept(page)
    fill(page)
    page.context.set_offline(True)
    page.get_by_role("button", name="Log it").click()
    expect(page.locator(".kept")).to_contain_text("There is no connection.")
    picture(page, "my-day-offline", full_page=True)
    page.reload()
    expect(page.locator(".kept")).to_contain_text("What you typed before is here again")
    expect(page.get_by_label("Notes")).to_have_value("Along the quay.")
    page.context.set_offline(False)
    site.loses = 1
    page.get_by_role("button", name="Log it").click()
    page.wait_for_timeout(500)
    page.goto(address_of(mine.cast, "my/day"))
    expect(page.get_by_label("How many minutes, all of it?")).to_have_value("45")
    page.get_by_role("button", name="Log it").click()
    page.get_by_text("Stored. Thank you.").wait_for()
    assert [one.minutes for one in stored(lambda: logs(mine))] == [45.0]
    page.goto(address_of(mine.cast, "my/day"))
    expect(page.get_by_label("Notes")).to_have_value("")


def test_how_somebody_is_fits_a_telephone(chromium: Browser, site: Site, mine: World) -> None:
    """Answered, corrected; what is chosen and not sent is there again."""
    stored(lambda: ask(mine))
    page = opened(chromium, site, mine, "my/wellness")
    reads_well(page)
    page.get_by_label("How did you sleep?").select_option("4")
    page.reload()
    expect(page.get_by_label("How did you sleep?")).to_have_value("4")
    picture(page, "my-wellness", full_page=True)
    reads_well(page)
    page.get_by_role("button", name="Send my answers").click()
    page.get_by_text("Stored. Thank you.").wait_for()
    page.get_by_label("How heavy are your legs?").select_option("3")
    page.get_by_role("button", name="Correct my answers").click()
    page.get_by_text("Stored. Thank you.").wait_for()
    picture(page, "my-wellness-stored", full_page=True)
    reads_well(page)

    def answers() -> list[WellnessAnswer]:
        with mine.cast.inside():
            return list(WellnessAnswer.objects.all())

    assert [one.answers for one in stored(answers)] == [{"sleep": 4.0, "heavy_legs": 3.0}]
