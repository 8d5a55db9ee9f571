"""The whole of it with a real browser and the real processes: web, relay and worker, as in the containers.

A coach publishes a session and places it; the worker finds everybody's version; an athlete logs it on a telephone
whose connection is cut, and whose first answer is lost; ranking, ability and load follow where the coach looks.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Locator, Page, Route, expect

from athletes.actions.priors import take_prior_snapshot
from programming.actions.catalogue import install_catalogue
from programming.actions.sessions import put_location_kit
from scoring.models import Attempt, SetLog
from services.demo.client import Api
from services.demo.client import sign_in as token_of
from services.settings import base
from tests.browser.chromium import is_drawn, launched
from tests.browser.my_fixtures import is_stored, picture
from tests.browser.my_phone import SMALL, is_kept, reads_well, stored
from tests.faults.conftest import own_machine  # noqa: F401
from tests.faults.machine import Machine
from tests.services.console.browse import PASSWORD, with_password
from tests.support.cast import Cast, Member, make_cast
from tests.support.world import KIT, SESSION

pytestmark = pytest.mark.stack

AYO, BRUNA = "Ayo Lindqvist", "Bruna Keel"
ROSTER = "name,date,body_mass_kg,to_failure:row_45,to_failure:goblet_squat:16kg"
DONE = (("a", 30), ("b", 40), ("a", 30), ("b", 40))
"""Sixty rows and eighty squats in two sets each, turn about. By the rules of the session each of the first two is a
break of 20 s, since it ended before its work was done: 10:40 on the clock are 11:20.
"""
ON_CLOCK, OFFICIAL = "10:40", "11:20"
EFFORT, MINUTES, LOAD = "7", "45", "315"
"""A session's load is its effort on the scale of 0 to 10 times its minutes (Foster et al., 2001, J Strength Cond Res
15(1):109-115): 7 x 45.
"""
PATIENCE_S = 180.0


@dataclass
class Team:
    """A cast whose coach works by the interface and with a browser; athletes: ids by name."""

    machine: Machine
    cast: Cast
    coach: Api
    session: str = ""
    athletes: dict[str, str] = field(default_factory=dict)


@pytest.fixture
def team(own_machine: Machine, settings: Any) -> Iterator[Team]:  # noqa: F811
    """An organisation that has a gym with its kit, and nothing else yet."""
    settings.PASSWORD_HASHERS = base.PASSWORD_HASHERS  # those of the web, which checks the passwords
    cast = make_cast()
    with cast.inside():
        install_catalogue(org=cast.org)
        take_prior_snapshot(org=cast.org)
        put_location_kit(actor=cast.coach.actor, location=cast.harbour, document=KIT, version=None)
    for member in (cast.coach, cast.athlete):
        with_password(member)
    with own_machine.fleet("web", "worker", "relay"):
        coach = token_of(own_machine.web_port, cast.coach.person.email, PASSWORD)
        yield Team(own_machine, cast, coach.inside(str(cast.org.id)))


def take_in(team: Team) -> None:
    """A roster with a test of each, and the sign-in of one of them."""
    day = (timezone.now() - dt.timedelta(days=7)).date().isoformat()
    lines = [ROSTER, f"{AYO},{day},71,18,26", f"{BRUNA},{day},62,16,24"]
    told = team.coach.post(
        f"/imports/athletes?location={team.cast.harbour.id}", {"csv": "\n".join(lines)}
    ).body
    assert (told["created"], told["invalid"]) == (2, 0)
    team.athletes = {row["name"]: row["athlete"] for row in told["rows"]}
    person = str(team.cast.athlete.person.id)
    team.coach.change(f"/athletes/{team.athletes[AYO]}", {"person": person})


def publish(team: Team) -> None:
    """Written, published, and placed in half an hour."""
    template = team.coach.post("/templates", {"name": SESSION["title"], "draft": SESSION}).body
    assert template["problems"] == []
    revision = team.coach.post(
        f"/templates/{template['id']}/revisions", {"version": template["version"]}
    ).body
    soon = timezone.now() + dt.timedelta(minutes=30)
    places = [{"location": str(team.cast.harbour.id), "starts_at": soon.isoformat()}]
    placed = team.coach.post("/placements", {"revision": revision["id"], "places": places}).body
    team.session = placed["items"][0]["session"]["id"]


def signed_in(context: BrowserContext, member: Member) -> Page:
    """By the form, as a person does it."""
    context.set_default_timeout(30_000)
    page = context.new_page()
    page.goto("/")
    page.fill("#id_email", member.person.email)
    page.fill("#id_password", PASSWORD)
    page.press("#id_password", "Enter")
    page.wait_for_url("**/today")
    return page


def reloaded_until(page: Page, there: Locator) -> None:
    """As the page says: load it again in a moment."""
    until = timezone.now() + dt.timedelta(seconds=PATIENCE_S)
    while not there.is_visible():
        assert timezone.now() < until, (
            f"{page.url} never shows what was waited for:\n{page.inner_text('main')}"
        )
        page.wait_for_timeout(1000)
        page.reload()


def row_of(page: Page, section: str, name: str) -> Locator:
    return page.locator("section", has=page.get_by_role("heading", name=section, exact=True)).get_by_role(
        "row", name=re.compile(name)
    )


def prescribed(page: Page) -> None:
    """From the day to the session; the worker has found a version for both."""
    page.get_by_role("link", name=SESSION["title"]).click()
    for name in (AYO, BRUNA):
        reloaded_until(page, row_of(page, "Who does what", f"{name}.*sets of"))


def rows_known(page: Page) -> tuple[str, int]:
    """(what the athlete can do of the row, by how many tests and sets it is known) as the coach reads it."""
    cells = row_of(page, f"What {AYO} can do", "row").locator("td").all_inner_texts()
    repetitions, told_by = cells[1], cells[4]
    return repetitions, int(told_by.split(",")[0])


def of_athlete(page: Page, name: str) -> None:
    page.get_by_role("link", name="Athletes", exact=True).click()
    page.get_by_role("link", name=name).click()
    page.get_by_role("heading", name=name, exact=True).wait_for()


class Bad:
    """A network that brings the first result to the service, and loses the answer on the way back."""

    def __init__(self, page: Page, address: str) -> None:
        self.sent: list[int] = []
        page.route(re.compile(re.escape(address) + "$"), self._handle)

    def _handle(self, route: Route) -> None:
        if route.request.method != "POST":
            return route.continue_()
        answer = route.fetch()
        self.sent.append(answer.status)
        return route.abort("connectionreset") if len(self.sent) == 1 else route.fulfill(response=answer)


def log_on_the_phone(page: Page, team: Team) -> Bad:
    """Set by set; after the first the connection goes, the page comes back without it, and it is back in the end."""
    page.get_by_role("link", name="My sessions").click()
    page.get_by_role("link", name=SESSION["title"]).click()
    page.get_by_role("heading", name="What you do").wait_for()
    is_kept(page)
    works = page.locator(".sets .set").evaluate_all("all => all.map((one) => one.dataset.work)")
    assert works[: len(DONE)] == [work for work, _ in DONE]
    for number, (_, repetitions) in enumerate(DONE):
        page.fill(f"#f-0-{number}-amount", str(repetitions))
        page.locator(f"#f-0-{number}-done").check()
        if number == 0:
            page.context.set_offline(True)
            page.reload()
            expect(page.locator("#f-0-0-done")).to_be_checked()
    page.fill("#f-0-0-reserve", "1")
    page.fill("#f-0-elapsed", ON_CLOCK)
    page.fill("#f-effort", EFFORT)
    page.fill("#f-minutes", MINUTES)
    reads_well(page)
    picture(page, "main-log", full_page=True)
    page.click("#send")
    page.get_by_text("Not sent yet:").wait_for()
    assert stored(lambda: attempts(team)) == []
    bad = Bad(page, f"/my/sessions/{team.session}")
    page.context.set_offline(False)
    is_stored(page)
    return bad


def attempts(team: Team) -> list[tuple[str, int]]:
    """(athlete, sets) of each stored result of the session."""
    with team.cast.inside():
        rows = list(Attempt.objects.filter(session=team.session))
        return [(str(row.athlete_id), SetLog.objects.filter(attempt=row).count()) for row in rows]


def send_of_bruna(team: Team) -> None:
    """By the coach, from a sheet of paper: the same work a minute slower."""
    versions = {"a": {"variation": "row_45"}, "b": {"variation": "goblet_squat", "load_kg": 16}}
    sets = [
        {"work": work, **versions[work], "repetitions": repetitions, "ended_by": "planned"}
        for work, repetitions in DONE
    ]
    told = {
        "session": team.session,
        "athlete": team.athletes[BRUNA],
        "performed_at": timezone.now().isoformat(),
        "set_log": {"sets": sets, "elapsed_s": 700.0},
    }
    team.coach.post("/attempts", told)


def follows(page: Page, team: Team) -> None:
    """Score, aim, ranking."""
    page.goto(f"/organisations/{team.cast.org.id}/sessions/{team.session}")
    reloaded_until(page, row_of(page, "What came back", f"{AYO}.*{OFFICIAL}"))
    assert "10:40 on the clock, 2 breaks 0:40" in row_of(page, "What came back", AYO).inner_text()
    expect(row_of(page, "What came back", f"{AYO}.*{EFFORT} of 10")).to_be_visible()
    wall = page.get_by_role("region", name=re.compile("^Ranking: "))
    reloaded_until(page, wall.get_by_role("row", name=re.compile(f"^1 {AYO} {OFFICIAL}")))
    reloaded_until(page, wall.get_by_role("row", name=re.compile(f"^2 {BRUNA} 12:20")))
    picture(page, "main-session", full_page=True)


def load_follows(page: Page) -> None:
    """From the athlete's page to the load: the day, the week that it is in, and the picture of both."""
    page.get_by_role("link", name="Load", exact=True).click()
    page.get_by_role("heading", name=f"{AYO}: load", exact=True).wait_for()
    days = page.get_by_role("region", name="Days", exact=True)
    reloaded_until(page, days.get_by_role("row", name=re.compile(f" reported {LOAD} {MINUTES} ")))
    assert days.get_by_role("row").count() == 2, "its heading, and the one day that is known"
    week = page.get_by_role("region", name="Weeks", exact=True).get_by_role("row").nth(1)
    expect(week).to_contain_text(f"1 of 7{LOAD} reported")
    expect(week).to_contain_text(f"the programme {MINUTES} min")
    is_drawn(page.locator("img.chart"))
    picture(page, "main-load", full_page=True)


def test_a_session_goes_from_the_coach_to_the_phone_and_back(team: Team) -> None:
    """Prescribed by the worker, logged through a bad network, stored once; then everything follows by itself."""
    take_in(team)
    publish(team)
    with launched() as chromium:
        desk = signed_in(chromium.new_context(base_url=team.machine.url), team.cast.coach)
        prescribed(desk)
        of_athlete(desk, AYO)
        can_do, told_by = rows_known(desk)
        phone = signed_in(small(chromium, team), team.cast.athlete)
        bad = log_on_the_phone(phone, team)
        assert bad.sent == [201, 201], "carried out, then the same answer again"
        assert stored(lambda: attempts(team)) == [(team.athletes[AYO], len(DONE))]
        send_of_bruna(team)
        follows(desk, team)
        of_athlete(desk, AYO)
        learned, told_by_now = rows_known(desk)
        picture(desk, "main-athlete", full_page=True)
        load_follows(desk)
        phone.reload()
        phone.get_by_text(OFFICIAL).first.wait_for()
    assert told_by_now > told_by
    assert amount(learned) > amount(can_do), "thirty with one left is more than the eighteen of the test"


def small(chromium: Browser, team: Team) -> BrowserContext:
    return chromium.new_context(base_url=team.machine.url, viewport=SMALL, has_touch=True, locale="en-GB")


def amount(told: str) -> int:
    return int(told.split()[0])
