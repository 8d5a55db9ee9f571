"""A page is open to whom the interface answers what it shows, and to nobody else."""

from __future__ import annotations

import re
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.urls import get_resolver

from athletes.api.health_views import HealthView
from athletes.models import HealthRead
from services.console.page import OrganisationPage
from services.console.urls import urlpatterns
from services.tenancy.actor import Role
from tests.services.console.browse import browser, looked_at, page
from tests.services.console.conftest import reported, result_of, send
from tests.services.console.load_support import answer, ask, weeks
from tests.support.api import ApiClient
from tests.support.cast import Cast, Member
from tests.support.world import World, make_world, url

pytestmark = pytest.mark.django_db

SHOWN: dict[str, list[str]] = {
    "today": ["scheduled-sessions", "locations", "groups", "prescriptions", "attempts"],
    "session": [
        *("scheduled-sessions/{session}", "revisions/{revision}", "locations", "groups", "prescriptions"),
        *("attempts", "scheduled-sessions/{session}/ranking"),
    ],
    "result": [
        *("attempts/{attempt}", "prescriptions/{prescription}", "scheduled-sessions/{session}"),
        "revisions/{revision}",
    ],
    "result-chart": [
        *("attempts/{attempt}", "prescriptions/{prescription}", "scheduled-sessions/{session}"),
        "revisions/{revision}",
    ],
    "write": ["templates", "templates/{template}/revisions"],
    "template": ["templates/{template}", "templates/{template}/revisions", "movements", "variations"],
    "template-copy": ["templates/{template}", "templates/{template}/revisions"],
    "template-aside": ["templates/{template}"],
    "template-taken-up": ["templates/{template}"],
    "organisation": ["", "health-reads", "memberships"],
    "health-reads": ["health-reads", "memberships", "athletes"],
    "place": ["revisions/{revision}", "templates/{template}", "locations", "groups"],
    "sheet": [
        "scheduled-sessions/{session}",
        "revisions/{revision}",
        "locations",
        "groups",
        "prescriptions",
        "safety-settings",
    ],
    "athletes": ["athletes", "locations", "groups"],
    "athlete": [
        *("athletes/{athlete}", "locations", "athletes/{athlete}/holds", "athletes/{athlete}/limitations"),
        *("athletes/{athlete}/capacities", "athletes/{athlete}/assessments", "prescriptions", "attempts"),
    ],
    "history": ["athletes/{athlete}", "athletes/{athlete}/capacities/{movement}/history", "movements"],
    "history-chart": ["athletes/{athlete}", "athletes/{athlete}/capacities/{movement}/history", "movements"],
    "athlete-load": ["athletes/{athlete}", "athletes/{athlete}/load-days", "athletes/{athlete}/load-summary"],
    "load-chart": ["athletes/{athlete}", "athletes/{athlete}/load-days", "athletes/{athlete}/load-summary"],
    "heart-rate": [
        *("athletes/{athlete}", "athletes/{athlete}/heart-rates", "athletes/{athlete}/training-logs"),
        "athletes/{athlete}/load-days",
    ],
    "work-done": ["athletes/{athlete}", "athletes/{athlete}/external-load"],
    "progression": ["athletes/{athlete}", "athletes/{athlete}/progression", "movements", "variations"],
    "progression-chart": ["athletes/{athlete}", "athletes/{athlete}/progression", "movements", "variations"],
    "group-progression": ["groups/{group}/progression?movement={movement}", "groups", "movements"],
    "location-load": ["locations/{location}/load-summary", "locations"],
    "group-load": ["groups/{group}/load-summary", "groups"],
    "wellness": [
        *("athletes/{athlete}", "wellness-forms", "athletes/{athlete}/wellness-answers"),
        "athletes/{athlete}/wellness?form={form}",
    ],
    "wellness-chart": [
        *("athletes/{athlete}", "wellness-forms", "athletes/{athlete}/wellness-answers"),
        "athletes/{athlete}/wellness?form={form}",
    ],
    "brief": ["prescriptions/{prescription}/brief", "scheduled-sessions/{session}"],
    "reviews": ["reviews", "scheduled-sessions", "attempts", "reports"],
    "balance": ["groups", "balance-target", "groups/{group}/balance-target", "groups/{group}/balance"],
    "balance-target": ["balance-target"],
    "group-target": ["groups", "groups/{group}/balance-target"],
    "group-balance": ["groups", "groups/{group}/balance"],
    "group-balance-chart": ["groups", "groups/{group}/balance"],
    "athlete-balance": ["athletes/{athlete}", "athletes/{athlete}/balance", "groups"],
    "athlete-balance-chart": ["athletes/{athlete}", "athletes/{athlete}/balance", "groups"],
    "reports": ["reports"],
    "report": ["reports", "athletes/{athlete}/reports"],
    "review": ["reviews/{review}", "attempts/{attempt}", "scheduled-sessions"],
}
"""By page the routes of the interface that answer what stands on it."""
DOES = {
    *("review", "report", "balance-target", "group-target", "write", "template", "place"),
    *("template-copy", "template-aside", "template-taken-up", "organisation"),
}
"""Pages with a form that writes."""
LATER = ("group", "attempt", "template", "revision", "location")
"""Ids that are in the address of a page, beside those of the first ones."""
ONLY_COUNTED = {"reviews"}
"""Pages that tell how many statements about health wait, and nothing of them."""
OWN = {
    *("my-sessions", "my-worker", "my-session", "my-session-state", "my-report"),
    *("my-day", "my-rest", "my-rest-back", "my-training-back", "my-wellness"),
}
"""Pages of an athlete about themselves: `test_my_sessions.py`, `test_my_session.py` and `test_my_day.py` hold who may
see them."""


def routes() -> dict[str, str]:
    """Of every page of an organisation: its address without what comes before, by its name."""
    prefix = "organisations/<uuid:organisation>/"
    return {
        pattern.name or "": str(pattern.pattern).removeprefix(prefix)
        for pattern in urlpatterns
        if issubclass(getattr(pattern.callback, "view_class", object), OrganisationPage)
    }


def test_every_page_is_in_the_table() -> None:
    """A new one says what it shows, and is tried by everybody."""
    assert set(routes()) == set(SHOWN) | OWN
    assert get_resolver().namespace_dict["console"]


def filled(world: World) -> dict[str, str]:
    """Ids for the addresses: a result that waits to be looked at, and what belongs to it."""
    attempt = send(world, result_of(world, "Bruna Keel", last=20))
    coach = ApiClient(world.cast.coach.token)
    session = coach.get(url(world, f"scheduled-sessions/{world.session.id}")).json()
    review = coach.get(url(world, "reviews")).json()["items"][0]["id"]
    athlete = world.athletes["Bruna Keel"]
    weeks(world, athlete, 9)
    ask(world)
    answer(world, athlete, 1, sleep=3)
    return {
        "group": wanted(world),
        "report": reported(world, "Bruna Keel"),
        "session": session["id"],
        "revision": session["revision"],
        "template": coach.get(url(world, f"revisions/{session['revision']}")).json()["template"],
        "athlete": attempt["athlete"],
        "form": "morning",
        "location": str(world.cast.harbour.id),
        "item": "sleep",
        "attempt": attempt["id"],
        "prescription": attempt["prescription"],
        "review": review,
        "movement": coach.get(url(world, f"athletes/{attempt['athlete']}/capacities")).json()["items"][0][
            "movement"
        ],
    }


def wanted(world: World) -> str:
    """A group with Bruna Keel in it; shares are wanted of it and of everybody."""
    coach = ApiClient(world.cast.coach.token)
    group = coach.post(url(world, "groups"), {"name": "Early birds"}).json()["id"]
    members = {"athletes": [str(world.athletes["Bruna Keel"].id)], "from_date": "2026-01-01"}
    assert coach.post(url(world, f"groups/{group}/members"), members).status_code == 201
    half = [{"name": name, "share": 0.5} for name in ("local_muscular_endurance", "power")]
    shares = {"sets_by_quality": half, "sets_by_pattern": [], "cyclical_by_quality": []}
    for path in ("balance-target", f"groups/{group}/balance-target"):
        answer = coach.put(url(world, path), json=shares, headers={"If-None-Match": "*"})
        assert answer.status_code == 201, answer.content
    return str(group)


def address(cast: Cast, name: str, ids: dict[str, str]) -> str:
    path = routes()[name]
    for key, value in ids.items():
        path = re.sub(rf"<\w+:{key}>", value, path)
    return page(cast, path)


def told(world: World, member: Member, ids: dict[str, str]) -> dict[str, int]:
    """What the interface answers to each route, which stands behind several pages."""
    api, routes = ApiClient(member.token), {route for shown in SHOWN.values() for route in shown}
    return {route: api.get(url(world, route.format(**ids)).rstrip("/")).status_code for route in routes}


def together(answers: set[int]) -> int:
    """Of the routes of a page: the role is asked first, then what may be known."""
    return 403 if 403 in answers else max(answers)


@pytest.mark.parametrize("role", [*Role, None])
def test_a_page_answers_as_the_interface_does(prescribed: World, role: Role | None) -> None:
    """200, 403 and 404 alike, for each role and for an outsider; by this organisation's address and by another's."""
    ids, cast = filled(prescribed), prescribed.cast
    member = cast.outsider if role is None else cast.members[role]
    assert member is not None
    other, answers = make_world(), told(prescribed, member, ids)
    for name, shown in SHOWN.items():
        got = browser(member).get(address(cast, name, ids))
        assert got.status_code == together({answers[route] for route in shown}), name
        if got.headers["Content-Type"] != "image/svg+xml":
            looked_at(got)
        assert browser(member).get(address(other.cast, name, ids)).status_code == 404, name
        assert browser(other.cast.owner).get(address(other.cast, name, ids)).status_code == (
            200 if "<uuid" not in routes()[name] else 404
        ), name


def test_a_page_that_names_a_statement_about_health_is_a_read_of_it(prescribed: World) -> None:
    """Written down as over the interface, whichever page it is; of what is only counted nothing is read."""
    ids, coach, unread = filled(prescribed), browser(prescribed.cast.coach), []
    for pattern in urlpatterns:
        shows = getattr(getattr(pattern.callback, "view_class", None), "shows", ())
        kinds = {view.health for view in shows if issubclass(view, HealthView)}
        if pattern.name not in SHOWN or pattern.name in ONLY_COUNTED or not kinds:
            continue
        with prescribed.cast.inside():
            before = set(HealthRead.objects.values_list("id", flat=True))
        assert coach.get(address(prescribed.cast, pattern.name, ids)).status_code == 200
        with prescribed.cast.inside():
            read = HealthRead.objects.exclude(id__in=before).values_list("kind", flat=True)
            unread += [(pattern.name, kind) for kind in kinds - set(read)]
    assert unread == []


def test_an_unknown_id_is_not_there(prescribed: World) -> None:
    """404 on every page that names something."""
    ids = {
        key: str(uuid4())
        for key in ("session", "athlete", "movement", "prescription", "review", "report", *LATER)
    }
    assert all(UUID(one) for one in ids.values())
    ids |= {"form": "morning", "item": "sleep"}
    for name, route in routes().items():
        if "<uuid" in route and name in SHOWN:
            got = browser(prescribed.cast.coach).get(address(prescribed.cast, name, ids))
            assert got.status_code == 404, name
            assert "Not here" in looked_at(got).text


def test_a_page_that_says_nothing_of_itself_is_refused() -> None:
    """When the class is made, so that nobody forgets."""
    with pytest.raises(TypeError, match="does not say what it shows"):
        type("Bare", (OrganisationPage,), {})

    def post(self: Any) -> None:
        """Does something."""

    shows = (next(iter(SHOWN)),)
    with pytest.raises(TypeError, match="does not say what it does"):
        type("Bare", (OrganisationPage,), {"shows": shows, "post": post})


def test_only_safe_methods_are_taken_where_nothing_is_done(prescribed: World) -> None:
    """405 for the rest, also for who may open all of them."""
    ids = filled(prescribed)
    for name in SHOWN:
        if name not in DOES:
            got = browser(prescribed.cast.owner).post(address(prescribed.cast, name, ids))
            assert got.status_code == 405, name
