"""An athlete logs a session on a telephone: without a connection in the middle, and stored exactly once."""

from __future__ import annotations

import datetime as dt
import threading

import pytest
from playwright.sync_api import Browser, Error, Page, expect

from tests.browser.my_fixtures import is_stored, opened, picture, tick_all
from tests.browser.my_phone import (
    Site,
    is_kept,
    phone,
    reads_well,
    sign_in,
    stored,
    waits_for,
    waits_until_kept,
)
from tests.services.console.browse import PASSWORD, with_password
from tests.services.console.browse import page as address_of
from tests.services.console.my_athlete import address, attempts
from tests.support.world import World

pytestmark = pytest.mark.xdist_group("stack")


NOON = dt.datetime(2030, 5, 6, 12, 0, tzinfo=dt.UTC)


def kept(page: Page) -> int:
    count: int = page.evaluate("Object.keys(localStorage).length")
    return count


def test_a_lost_connection_loses_nothing_and_doubles_nothing(
    chromium: Browser, site: Site, mine: World
) -> None:
    """Cut in the middle, reloaded without it, gone on, sent without it, and stored once when it is back."""
    page = opened(chromium, site, mine)
    picture(page, "session")
    page.evaluate("document.querySelector('#sets').scrollIntoView()")
    picture(page, "log")
    reads_well(page)
    is_kept(page)
    page.locator("#f-0-0-done").check()
    page.fill("#f-0-0-amount", "13")
    page.context.set_offline(True)
    page.locator("#f-0-1-done").check()
    page.reload()
    expect(page.locator("#f-0-0-amount")).to_have_value("13")
    expect(page.locator("#f-0-1-done")).to_be_checked()
    picture(page, "kept")
    count = tick_all(page)
    page.fill("#f-effort", "7")
    page.click("#send")
    page.get_by_text("Not sent yet:").wait_for()
    picture(page, "waiting")
    reads_well(page)
    assert stored(lambda: attempts(mine)) == []
    page.context.set_offline(False)
    is_stored(page)
    picture(page, "stored")
    reads_well(page)
    (attempt,) = stored(lambda: attempts(mine))
    sets = attempt.as_sent["set_log"]["sets"]
    assert (len(sets), sets[0]["repetitions"], attempt.effort) == (count, 13, 7.0)
    assert kept(page) == 0


def test_the_first_page_that_is_opened_loads_without_a_connection(
    chromium: Browser, site: Site, mine: World
) -> None:
    """It came before its worker, so nobody loads it a second time for it to be kept."""
    page = opened(chromium, site, mine)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    waits_until_kept(page)
    page.context.set_offline(True)
    page.reload()
    expect(page.locator("#f-0-0-amount")).to_be_visible()


def test_an_answer_that_is_lost_is_asked_for_again(chromium: Browser, site: Site, mine: World) -> None:
    """The result was stored, nobody heard of it; sent again under its key it is the same one."""
    page = opened(chromium, site, mine)
    tick_all(page)
    site.loses = 1
    page.click("#send")
    is_stored(page)
    assert site.posts(str(mine.session.id)) == 2
    assert len(stored(lambda: attempts(mine))) == 1


def test_a_connection_that_hangs_is_given_up_and_tried_again(
    chromium: Browser, site: Site, mine: World
) -> None:
    """Nobody waits behind a locked form for an answer that does not come; the result is stored once."""
    page = opened(chromium, site, mine)
    page.clock.install()
    tick_all(page)
    site.hangs = "POST"
    page.click("#send")
    for _ in range(600):  # given up sooner, it would never have reached the server
        if site.posts(str(mine.session.id)):
            break
        page.wait_for_timeout(100)
    page.clock.run_for(21_000)
    page.get_by_text("Not sent yet:").wait_for()
    page.get_by_role("button", name="Change something first").wait_for()
    site.hangs = ""
    site.goes_on.set()
    is_stored(page)
    assert site.posts(str(mine.session.id)) >= 2
    assert len(stored(lambda: attempts(mine))) == 1


def test_a_page_that_is_not_kept_yet_may_come_slowly(chromium: Browser, site: Site, mine: World) -> None:
    """Later than what is kept would have stood in for it: it is waited for, and kept from then on."""
    page = opened(chromium, site, mine)
    is_kept(page)
    site.hangs = "GET"
    threading.Timer(8, site.goes_on.set).start()  # the worker's patience is six seconds of its own clock
    page.goto(address_of(mine.cast, "my/sessions"))
    page.get_by_role("heading", name="Today and coming").wait_for()
    page.context.set_offline(True)
    page.reload()
    page.get_by_role("heading", name="Today and coming").wait_for()


def test_a_page_that_comes_after_the_sign_out_is_not_kept(chromium: Browser, site: Site, mine: World) -> None:
    """What was kept stood in for it; a sign-out throws that away, and the slow answer does not bring it back."""
    page = opened(chromium, site, mine)
    is_kept(page)
    gets = site.asked.count(("GET", address(mine)))
    site.hangs = "GET"
    page.goto(address(mine), wait_until="commit")
    assert site.asked.count(("GET", address(mine))) > gets, "it hangs"
    site.hangs = ""
    own = "all.filter((one) => one.startsWith('dosewright-pages:'))"
    page.evaluate(f"caches.keys().then((all) => Promise.all({own}.map((one) => caches.delete(one))))")
    site.goes_on.set()
    page.wait_for_timeout(3_000)
    assert page.evaluate(f"caches.keys().then((all) => {own}.length)") == 0


def test_who_presses_twice_sends_once(chromium: Browser, site: Site, mine: World) -> None:
    """The second press finds it on its way."""
    page = opened(chromium, site, mine)
    tick_all(page)
    page.dblclick("#send")
    is_stored(page)
    assert site.posts(str(mine.session.id)) == 1
    assert len(stored(lambda: attempts(mine))) == 1


def test_a_second_device_is_told_and_keeps_what_was_typed(chromium: Browser, site: Site, mine: World) -> None:
    """The first result stands; what was typed on the other goes when its owner throws it away."""
    first, second = opened(chromium, site, mine), opened(chromium, site, mine)
    tick_all(first)
    tick_all(second)
    second.fill("#f-0-0-amount", "5")
    first.click("#send")
    is_stored(first)
    second.click("#send")
    second.get_by_text("You have sent a result of this session already").wait_for()
    expect(second.locator("#f-0-0-amount")).to_have_value("5")
    second.locator("#send-state").scroll_into_view_if_needed()
    picture(second, "second")
    second.get_by_role("button", name="Show the result that is stored").click()
    is_stored(second)
    second.get_by_text("Another result was stored first").wait_for()
    assert kept(second) == 1
    second.get_by_role("button", name="Throw it away").click()
    assert kept(second) == 0
    assert len(stored(lambda: attempts(mine))) == 1


def test_who_was_signed_out_signs_in_and_it_is_sent(chromium: Browser, site: Site, mine: World) -> None:
    """What was typed waits behind the sign-in, and goes out by itself after it."""
    stored(lambda: with_password(mine.cast.athlete))
    page = opened(chromium, site, mine)
    tick_all(page)
    page.fill("#f-note", "Windy.")
    page.context.clear_cookies()
    page.click("#send")
    page.get_by_text("You are signed out").wait_for()
    assert stored(lambda: attempts(mine)) == []
    page.get_by_role("link", name="Sign in and send").click()
    page.fill("#id_email", mine.cast.athlete.person.email)
    page.fill("#id_password", PASSWORD)
    page.press("#id_password", "Enter")
    is_stored(page)
    (attempt,) = stored(lambda: attempts(mine))
    assert attempt.note == "Windy."


def test_who_signs_out_leaves_nothing_behind(chromium: Browser, site: Site, mine: World) -> None:
    """Asked once because of what is not sent; then neither log nor page is there, with and without a connection."""
    page = opened(chromium, site, mine)
    is_kept(page)
    page.locator("#f-0-0-done").check()
    asked: list[str] = []
    page.once("dialog", lambda one: (asked.append(one.message), one.dismiss()))
    page.get_by_role("button", name="Sign out").click()
    assert "is not sent yet" in asked[0]
    assert kept(page) == 1, "still signed in, nothing lost"
    page.once("dialog", lambda one: one.accept())
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in")
    assert kept(page) == 0
    assert page.evaluate("caches.keys()") == []
    page.context.set_offline(True)
    with pytest.raises(Error, match="ERR_INTERNET_DISCONNECTED"):
        page.goto(address(mine))


@pytest.mark.parametrize("path", ["today", "my/sessions"])
def test_the_next_person_on_the_device_sees_nothing_of_the_one_before(
    chromium: Browser, site: Site, mine: World, path: str
) -> None:
    """The first was signed out by time, with a log begun: whatever the other opens, the kept page is gone, and the
    log is shown to its owner alone.
    """
    page = opened(chromium, site, mine)
    is_kept(page)
    page.fill("#f-note", "Mine alone.")
    page.context.clear_cookies()
    sign_in(page.context, site, mine.cast.coach)
    page.goto(address_of(mine.cast, path))
    waits_for(page, "caches.keys().then((all) => all.every((one) => !one.startsWith('dosewright-pages:')))")
    page.goto(address(mine))
    expect(page.get_by_role("heading", name="No sessions of your own")).to_be_visible()
    page.context.set_offline(True)
    with pytest.raises(Error, match="net::ERR_"):
        page.goto(address(mine))
    page.context.set_offline(False)
    page.context.clear_cookies()
    sign_in(page.context, site, mine.cast.athlete)
    page.goto(address(mine))
    expect(page.locator("#f-note")).to_have_value("Mine alone.")


def test_a_complaint_stands_beside_its_field(chromium: Browser, site: Site, mine: World) -> None:
    """The interface's own words; nothing typed is lost, and put right it is stored."""
    page = opened(chromium, site, mine)
    tick_all(page)
    page.fill("#f-effort", "99")
    page.fill("#f-0-0-amount", "many")
    page.click("#send")
    expect(page.locator("#f-effort-error")).to_contain_text("10")
    expect(page.locator("#f-0-0-amount-error")).to_contain_text("whole number")
    expect(page.locator("#f-0-0-amount")).to_be_focused()
    expect(page.locator("#f-effort")).to_have_value("99")
    picture(page, "wrong")
    reads_well(page)
    page.fill("#f-effort", "9")
    page.fill("#f-0-0-amount", "12")
    page.context.set_offline(True)
    page.click("#send")
    page.get_by_text("Not sent yet:").wait_for()
    expect(page.locator("#log .error")).to_have_count(0)
    page.context.set_offline(False)
    is_stored(page)


def test_sets_are_added_and_taken_away(chromium: Browser, site: Site, mine: World) -> None:
    """Also over a reload; what is sent is what stands there."""
    page = opened(chromium, site, mine)
    count = tick_all(page)
    page.locator("#f-0-0-done").uncheck()
    page.locator(".set").nth(1).locator("summary").click()
    page.locator(".set").nth(1).get_by_role("button", name="Take this set away").click()
    page.get_by_role("button", name="Add a set").click()
    page.fill(f"#f-0-{count}-amount", "4")
    page.locator(f"#f-0-{count}-done").check()
    page.reload()
    expect(page.locator(".sets .set")).to_have_count(count)
    page.click("#send")
    is_stored(page)
    (attempt,) = stored(lambda: attempts(mine))
    sets = attempt.as_sent["set_log"]["sets"]
    assert (len(sets), sets[-1]["repetitions"]) == (count - 1, 4)


def test_the_clock_outlives_a_reload_and_fills_the_log(chromium: Browser, site: Site, mine: World) -> None:
    """By a clock of the test's own: rest, break and time are counted, and the cap ends it."""
    page = phone(chromium, site, mine.cast.athlete).new_page()
    page.clock.install(time=NOON)
    page.goto(address(mine))
    page.clock.pause_at(NOON + dt.timedelta(minutes=5))
    clock = page.locator(".clock")
    clock.get_by_role("button", name="Start the clock").click()
    page.clock.run_for(70_000)
    expect(clock.locator(".main")).to_have_text("1:10")
    page.locator("#f-0-0-done").check()
    expect(clock.locator(".broken")).to_have_text("1 break: 0:20 is added to the clock.")
    page.clock.run_for(7_000)
    page.evaluate("document.querySelector('#f-0-1-done').scrollIntoView({block: 'center'})")
    picture(page, "clock")
    page.reload()
    page.clock.run_for(1_000)
    expect(clock.locator(".main")).to_have_text("1:18")
    clock.get_by_role("button", name="Next set").click()
    expect(page.locator("#f-0-1-rest")).to_have_value("8")
    page.clock.run_for(30 * 60_000)
    expect(clock.locator(".line")).to_have_text("The time cap is reached. Stop, and note what you have.")
    expect(page.locator("#f-0-elapsed")).to_have_value("30:00")


def test_pain_is_reported_without_a_connection_too(chromium: Browser, site: Site, mine: World) -> None:
    """What to do stands there at once; the report goes out when the connection is back."""
    from athletes.models import Report

    page = opened(chromium, site, mine)
    page.get_by_role("link", name="Pain or warning sign: stop").click()
    expect(page.get_by_text("In an emergency act first")).to_be_visible()
    page.context.set_offline(True)
    page.select_option("#f-site", "shoulder")
    page.fill("#f-severity", "8")
    page.get_by_role("button", name="Report it").click()
    page.get_by_text("Stop all the same, and tell somebody").wait_for()
    page.context.set_offline(False)
    page.get_by_text("Reported. Stop now.").wait_for()
    picture(page, "reported")
    reads_well(page)

    def reports() -> list[tuple[str, int | None]]:
        with mine.cast.inside():
            return list(Report.objects.values_list("site", "severity"))

    assert stored(reports) == [("shoulder", 8)]


def test_who_reads_pounds_types_pounds(chromium: Browser, site: Site, mine: World) -> None:
    """What was typed in the other unit goes with the change; what was left as planned is stored as planned."""
    page = opened(chromium, site, mine)
    squat = page.locator('.set[data-work="b"]').first.get_attribute("data-row")
    tick_all(page)
    expect(page.locator(f"#f-{squat}-load")).to_have_value("16")
    other = page.locator('.set[data-work="b"]').nth(1).get_attribute("data-row")
    page.fill(f"#f-{other}-load", "20")
    page.get_by_role("button", name="Pounds too").click()
    expect(page.locator(f"#f-{squat}-load")).to_have_value("35.3")
    expect(page.locator(f"#f-{other}-load")).to_have_value("44.1")
    assert "16 kg (35.3 lb)" in page.content()
    page.click("#send")
    is_stored(page)
    (attempt,) = stored(lambda: attempts(mine))
    loads = [one["load_kg"] for one in attempt.as_sent["set_log"]["sets"] if one["work"] == "b"]
    assert loads[0] == 16
    assert loads[1] == pytest.approx(20, abs=0.03)
