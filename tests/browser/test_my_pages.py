"""The athlete's pages on a telephone: the list, several blocks, a new prescription, and all of it without scripts."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, expect

from scoring.models import Prescription
from tests.browser.my_fixtures import is_stored, opened, picture
from tests.browser.my_phone import Site, phone, reads_well, stored
from tests.services.console.browse import page as address_of
from tests.services.console.my_athlete import address, another_session, attempts
from tests.services.console.test_my_sessions import TWO_BLOCKS
from tests.support.world import World, drain

pytestmark = pytest.mark.xdist_group("stack")


def test_the_list_leads_to_a_session(chromium: Browser, site: Site, mine: World) -> None:
    """From the line through the pages; it fits and reads well."""
    page = phone(chromium, site, mine.cast.athlete).new_page()
    page.goto(address_of(mine.cast, "today"))
    page.get_by_role("link", name="My sessions").click()
    picture(page, "list")
    reads_well(page)
    page.get_by_role("link", name="Rows and goblet squats, turn about").click()
    page.get_by_role("heading", name="What you do").wait_for()


def test_each_block_has_its_rows_and_its_clock(chromium: Browser, site: Site, mine: World) -> None:
    """Of a session with a block by the minute: what is ticked while its clock runs is of the interval that runs."""

    def placed() -> Any:
        found = another_session(mine, **TWO_BLOCKS)
        drain(mine.cast)
        with mine.cast.inside():
            content = Prescription.objects.get(session=found).content
        return found, next(one["rounds"] for one in content["blocks"] if one["block"] == "minutes") or 6

    session, rounds = stored(placed)
    page = phone(chromium, site, mine.cast.athlete).new_page()
    page.clock.install()
    page.goto(address_of(mine.cast, f"my/sessions/{session.id}"))
    reads_well(page)
    minutes = page.locator(".block").nth(1)
    minutes.get_by_role("button", name="Start the clock").click()
    page.clock.run_for(65_000)
    expect(minutes.locator(".line")).to_have_text(f"Interval 2 of {rounds}; the next starts at 2:00")
    minutes.locator("#f-1-0-done").check()
    expect(page.locator("#f-1-0-interval")).to_have_value("2")
    expect(minutes.locator(".broken")).to_have_text("1 break so far.")
    minutes.scroll_into_view_if_needed()
    picture(page, "blocks")
    page.locator("#f-0-how-none").check()
    expect(page.locator("#f-0-elapsed")).to_be_hidden()
    page.click("#send")
    is_stored(page)
    (attempt,) = stored(lambda: attempts(World(mine.cast, mine.revision, session)))
    (part,) = attempt.as_sent["blocks"]
    assert (part["block"], part["set_log"]["sets"][0]["interval"]) == ("minutes", 2)


def test_it_all_goes_without_scripts(chromium: Browser, site: Site, mine: World) -> None:
    """Fields, complaint, sending and the stored result."""
    context = chromium.new_context(
        base_url=site.url, java_script_enabled=False, viewport={"width": 360, "height": 740}
    )
    context.add_cookies(phone(chromium, site, mine.cast.athlete).cookies())  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(address(mine))
    expect(page.get_by_role("button", name="Add a set")).to_have_count(0)
    page.locator("#f-0-0-done").check()
    page.fill("#f-effort", "12")
    page.click("#send")
    page.get_by_role("heading", name="Not stored").wait_for()
    picture(page, "plain")
    expect(page.locator("#f-0-0-done")).to_be_checked()
    page.fill("#f-effort", "6")
    page.click("#send")
    is_stored(page)
    assert [one.effort for one in stored(lambda: attempts(mine))] == [6.0]


def test_a_prescription_that_changes_in_the_middle_takes_nothing_away(
    chromium: Browser, site: Site, mine: World
) -> None:
    """What was typed is of the one that was followed, and is sent for that one."""
    page = opened(chromium, site, mine)
    page.fill("#f-0-0-amount", "11")
    page.locator("#f-0-0-done").check()
    followed = page.input_value("[name=prescription]")

    def reissued() -> None:
        with mine.cast.inside():
            first = Prescription.objects.get(id=followed)
            Prescription(
                **{
                    field.attname: getattr(first, field.attname)
                    for field in first._meta.concrete_fields
                    if field.attname not in ("id", "number", "issued_at")
                },
                number=first.number + 1,
                issued_at=timezone.now(),
            ).save(force_insert=True)

    stored(reissued)
    page.reload()
    expect(page.locator("#f-0-0-amount")).to_have_value("11")
    page.click("#send")
    is_stored(page)
    (attempt,) = stored(lambda: attempts(mine))
    assert str(attempt.prescription_id) == followed
