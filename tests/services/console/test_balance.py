"""Training balance on the pages: what the interface answers, as pictures and tables."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from services.console.balance_chart import balance_chart
from services.console.balance_words import named, row_of
from services.console.charts import drawn
from services.tenancy.actor import Role
from tests.scoring.several import a_set
from tests.services.console.browse import Seen, browser, looked_at, page
from tests.services.console.conftest import send
from tests.services.console.pictures import marks, stands_alone, words
from tests.services.console.test_rights import wanted
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, url

STRENGTH = [
    a_set("a", "row_45", "failure", repetitions=5, rest_before_s=rest) for rest in (0.0, 120.0, 120.0)
] + [a_set("b", "goblet_squat", "planned", repetitions=6, load_kg=16.0, rir=2, rest_before_s=90.0)]


def line(name: str, planned: float | None, done: float | None, target: float | None) -> dict[str, Any]:
    shares = {"planned_share": planned, "done_share": done, "target_share": target}
    reasons = {f"{key}_reason": None if shares[key] is not None else "nothing_counted" for key in shares}
    return {"name": name, "said": name, **shares, **reasons}


@pytest.mark.parametrize("columns", [1, 3])
def test_every_share_is_told_beside_its_mark(columns: int) -> None:
    """A panel each: an open bar, a full one, a diamond, and the share in words; what is not known has no mark."""
    lines = [line("Power", 0.25, 0.4, 0.5), line("Skill", 0.75, None, 0.5)]
    svg = drawn(balance_chart(lines, unit="hard sets", columns=columns))
    found = marks(svg)
    assert (found["rect"], found["symbol"]) == (3, 2)
    told = words(svg)
    for word in ("25 %", "40 %", "75 %", "none counted", "Power", "Skill", "planned", "done", "wanted"):
        assert word in told
    assert told.count("50 %") == 2
    assert svg.count('fill="#ffffff" stroke="#1b1b1b"') == 2
    stands_alone(svg)


def test_without_a_target_nothing_is_wanted() -> None:
    svg = drawn(balance_chart([line("Power", 1.0, 1.0, None)], unit="hard sets", columns=3))
    assert (marks(svg)["symbol"], marks(svg)["rect"]) == (0, 2)


def trained(world: World, name: str = "Bruna Keel") -> None:
    when = timezone.now() - dt.timedelta(minutes=5)
    sent = {
        "session": str(world.session.id),
        "athlete": str(world.athletes[name].id),
        "performed_at": when.isoformat(),
    }
    send(world, {**sent, "set_log": {"sets": STRENGTH, "elapsed_s": 900.0}})


def days(world: World) -> dict[str, str]:
    """Around the session, whatever the clock says."""
    day = world.session.local_date
    return {
        "from_date": (day - dt.timedelta(days=6)).isoformat(),
        "until_date": (day + dt.timedelta(days=1)).isoformat(),
    }


def told(world: World, path: str, **query: str) -> dict[str, Any]:
    answer = ApiClient(world.cast.coach.token).get(url(world, path), query={**days(world), **query})
    assert answer.status_code == 200, answer.content
    found: dict[str, Any] = answer.json()
    return found


def seen(world: World, path: str, **query: str) -> Seen:
    answer = browser(world.cast.coach).get(page(world.cast, path), {**days(world), **query})
    assert answer.status_code == 200
    return looked_at(answer)


def rows_stand(found: dict[str, Any], shown: Seen) -> None:
    """Hard sets, shares and what is wanted, line by line."""
    for one in found["sets_by_quality"] + found["sets_by_pattern"]:
        for book in ("planned", "done"):
            if one[book]["sets"]:
                assert f"{one[book]['hard_sets']} hard of {one[book]['sets']} set" in shown.text
        start = f"{named(one['name'])} "
        assert start in shown.text
        for key in ("planned_share", "done_share", "target_share"):
            if one[key] is not None:
                assert f"{100 * one[key]:.0f} %" in shown.text


@pytest.mark.django_db
def test_an_athlete_s_page_says_what_the_interface_says(prescribed: World) -> None:
    """Against the shares of everybody or of a group, in pictures and tables; sets and time apart."""
    group = wanted(prescribed)
    trained(prescribed)
    path = f"athletes/{prescribed.athletes['Bruna Keel'].id}/balance"
    for query in ({}, {"group": group}):
        found, shown = told(prescribed, path, **query), seen(prescribed, path, **query)
        rows_stand(found, shown)
        line = next(one for one in found["sets_by_quality"] if one["name"] == "maximal_strength")
        assert (line["done_share"], line["target_share"]) == (1.0, 0.0)
        assert "Maximal strength none none counted 4 hard of 4 sets 100 % 0 % 100 points more" in shown.text
        assert "Power none none counted none 0 % 50 % 50 points less" in shown.text
        assert "1 session planned. 1 session done." in shown.text
        assert "Nothing of it is planned or done in these days." in shown.text  # nothing cyclical
    whose = {"": "those of the whole organisation", group: "the group's own"}
    for key, said in whose.items():
        assert said in seen(prescribed, path, **({"group": key} if key else {})).text
    overview = looked_at(browser(prescribed.cast.coach).get(page(prescribed.cast, path.rpartition("/")[0])))
    assert page(prescribed.cast, path) in overview.links


@pytest.mark.django_db
def test_a_picture_is_that_of_its_days(prescribed: World) -> None:
    """By the address that stands on the page; of a division that does not exist, or of empty days, there is none."""
    trained(prescribed)
    path = f"athletes/{prescribed.athletes['Bruna Keel'].id}/balance"
    shown, client = seen(prescribed, path), browser(prescribed.cast.coach)
    pictures = [link for link in shown.links if "chart.svg" in link]
    assert len(pictures) == 2
    answer = client.get(pictures[1])
    assert answer.headers["Content-Type"] == "image/svg+xml"
    assert {"Horizontal pull", "Squat", "75 %", "25 %"} <= set(words(answer.content.decode()))
    address = page(prescribed.cast, f"{path}/chart.svg")
    assert client.get(address, {**days(prescribed), "of": "muscles"}).status_code == 404
    assert client.get(address, {"until_date": "2020-01-31"}).status_code == 404
    assert client.get(address, {"until_date": "31.1.2020"}).status_code == 400


@pytest.mark.django_db
def test_sessions_without_sets_are_said(prescribed: World) -> None:
    totals = {"elapsed_s": 600.0, "breaks": 3, "work": [{"work": "a", "repetitions": 60}]}
    when = timezone.now() - dt.timedelta(minutes=5)
    sent = {"session": str(prescribed.session.id), "athlete": str(prescribed.athletes["Bruna Keel"].id)}
    send(prescribed, {**sent, "performed_at": when.isoformat(), "totals": totals})
    shown = seen(prescribed, f"athletes/{prescribed.athletes['Bruna Keel'].id}/balance")
    assert "Of 1 done no set is counted: sent in all, not set by set." in shown.text


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("query", "said"),
    [
        ({"from_date": "2026-02-30"}, "Must be a day in the form 2030-01-31."),
        ({"from_date": "2026-02-02", "until_date": "2026-01-01"}, "Must not lie after the last day."),
        ({"from_date": "2024-01-01", "until_date": "2026-01-01"}, "At most 366 days at once."),
        ({"group": "5a1c2b9e-0000-4000-8000-000000000000"}, "There is no such group."),
    ],
)
def test_a_bad_choice_stands_at_its_field(prescribed: World, query: dict[str, str], said: str) -> None:
    """With what was typed; nothing is told of other days instead."""
    wanted(prescribed)
    path = f"athletes/{prescribed.athletes['Bruna Keel'].id}/balance"
    answer = browser(prescribed.cast.coach).get(page(prescribed.cast, path), query)
    assert answer.status_code == 400
    shown = looked_at(answer)
    assert said in shown.text and "Hard sets" not in shown.text
    if "from_date" in query:
        assert f'value="{query["from_date"]}"' in answer.content.decode()


@pytest.mark.django_db
def test_empty_fields_ask_for_nothing(prescribed: World) -> None:
    """As a form sends them: the last four weeks."""
    path = page(prescribed.cast, f"athletes/{prescribed.athletes['Bruna Keel'].id}/balance")
    answer = browser(prescribed.cast.coach).get(path, {"from_date": "", "until_date": "", "group": ""})
    assert answer.status_code == 200
    assert 'type="date" name="from_date" id="id_from_date" value="20' in answer.content.decode()


@pytest.mark.django_db
def test_a_group_is_told_together_and_found_from_the_list(prescribed: World) -> None:
    """Of its members alone; the list says whose shares hold."""
    group = wanted(prescribed)
    trained(prescribed)
    trained(prescribed, "Idris Vane")
    found, shown = told(prescribed, f"groups/{group}/balance"), seen(prescribed, f"groups/{group}/balance")
    assert found["done"]["sessions"] == 1
    rows_stand(found, shown)
    assert "Early birds: training balance" in shown.text and "1 session done." in shown.text
    home = looked_at(browser(prescribed.cast.coach).get(page(prescribed.cast, "balance")))
    assert "Early birds its own , of Early birds" in home.text
    for path in (f"groups/{group}/balance", f"groups/{group}/balance/wanted", "balance/wanted"):
        assert page(prescribed.cast, path) in home.links


@pytest.mark.django_db
def test_without_groups_and_shares_the_list_says_what_to_do(world: World) -> None:
    shown = looked_at(browser(world.cast.coach).get(page(world.cast, "balance")))
    assert "There is no group yet." in shown.text
    assert "Nobody has written down which shares are wanted." in shown.text


@pytest.mark.django_db
def test_the_line_leads_there_whoever_may_go(prescribed: World) -> None:
    """Staff by the line through the pages, an athlete by their own page."""
    for role in (Role.OWNER, Role.COACH, Role.LOCATION_STAFF):
        shown = looked_at(browser(prescribed.cast.members[role]).get(page(prescribed.cast, "today")))
        assert page(prescribed.cast, "balance") in shown.links
    shown = looked_at(browser(prescribed.cast.athlete).get(page(prescribed.cast, "today")))
    assert page(prescribed.cast, "balance") not in shown.links


@pytest.mark.django_db
def test_it_costs_the_same_for_two_members_and_for_twenty(prescribed: World) -> None:
    """The group's page and its picture; the list with one group and with ten."""
    group, coach = wanted(prescribed), ApiClient(prescribed.cast.coach.token)
    found: dict[str, list[int]] = {}
    client = browser(prescribed.cast.coach)
    client.get("/")
    for count in (2, 20):
        for number in range(len(prescribed.athletes), count + 1):
            one = add_athlete(prescribed, f"Somebody {number}", 70.0)
            members = {"athletes": [str(one.id)], "from_date": "2026-01-01"}
            assert coach.post(url(prescribed, f"groups/{group}/members"), members).status_code == 201
            assert coach.post(url(prescribed, "groups"), {"name": f"Lane {number}"}).status_code == 201
        drain(prescribed.cast)
        for path in ("balance", f"groups/{group}/balance", f"groups/{group}/balance/chart.svg"):
            with CaptureQueriesContext(connection) as queries:
                assert client.get(page(prescribed.cast, path), days(prescribed)).status_code == 200
            found.setdefault(path, []).append(len(queries))
    assert all(few == many for few, many in found.values()), found


@pytest.mark.parametrize(
    ("ahead", "told"), [(0.014, "1 point more"), (-0.01, "1 point less"), (0.2, "20 points more")]
)
def test_one_point_is_no_points(ahead: float, told: str) -> None:
    """Against what is wanted, in whole percentage points."""
    nothing = {"sets": 0}
    line = {
        "name": "power",
        "planned": nothing,
        "done": nothing,
        "planned_share": 0.3,
        "planned_share_reason": None,
    }
    line |= {"done_share": 0.3, "done_share_reason": None, "target_share": 0.3, "ahead": ahead}
    assert row_of(line, "sets_by_quality").over == told
