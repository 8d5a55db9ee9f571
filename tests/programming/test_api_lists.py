"""Lists of the programme: as many queries for thirty rows as for three, pages that lose nothing, filters."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from urllib.parse import parse_qsl, urlsplit

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from programming.actions.catalogue import add_variation_version, create_variation
from programming.actions.sessions import cancel_session
from programming.actions.templates import create_template, publish_revision, update_template
from programming.models import Movement, Template, Variation, VariationVersion
from tests.programming.support import DOCUMENT, base, body, client, draft, placed, published, stocked
from tests.support.api import assert_problem
from tests.support.cast import Cast, make_cast

START = dt.datetime(2030, 3, 7, 18, tzinfo=dt.UTC)


def movements(cast: Cast, count: int) -> str:
    for number in range(count):
        Movement.objects.create(
            org=cast.org, key=f"own_{number}", name="Own", pattern="jump", capacity_kind="none", prior={}
        )
    return "movements"


def variations(cast: Cast, count: int) -> str:
    movements(cast, 1)
    movement = Movement.objects.get(key="own_0")
    for number in range(count):
        create_variation(
            actor=cast.coach.actor, movement=movement, key=f"own_{number}", name="Own", document=DOCUMENT
        )
    return "variations"


def versions(cast: Cast, count: int) -> str:
    variations(cast, 1)
    row = Variation.objects.select_related("movement").get(key="own_0")
    for number in range(1, count):
        document = {**DOCUMENT, "rung": number + 1}
        add_variation_version(actor=cast.coach.actor, variation=row, version=number, document=document)
    assert VariationVersion.objects.count() == count
    return f"variations/{row.id}/versions"


def templates(cast: Cast, count: int) -> str:
    for _ in range(count):
        create_template(actor=cast.coach.actor, name="Sixty", draft=draft())
    return "templates"


def revisions(cast: Cast, count: int) -> str:
    stocked(cast)
    templates(cast, 1)
    row = Template.objects.get()
    for number in range(count):
        row = update_template(
            actor=cast.coach.actor, template=row, version=row.version, draft=draft(title=f"Number {number}")
        )
        publish_revision(actor=cast.coach.actor, template=row, version=row.version)
    return f"templates/{row.id}/revisions"


def sessions(cast: Cast, count: int) -> str:
    stocked(cast)
    for number in range(count):
        revision = published(cast, draft(title=f"Number {number}"))
        placed(cast, revision, cast.harbour, START + dt.timedelta(days=number))
    return "scheduled-sessions"


LISTS = (movements, variations, versions, templates, revisions, sessions)


@pytest.mark.parametrize("fill", LISTS, ids=lambda fill: fill.__name__)
@pytest.mark.django_db
def test_a_list_costs_the_same_for_three_rows_and_thirty(fill: Callable[[Cast, int], str]) -> None:
    """The number of queries does not grow with the number of rows."""
    counted = []
    for count in (3, 30):
        gym = make_cast(f"Gym of {count}")
        with gym.inside():
            path = fill(gym, count)
        caller = client(gym.coach)
        with CaptureQueriesContext(connection) as queries:
            response = caller.get(f"{base(gym)}/{path}")
        assert len(body(response)["items"]) == count
        counted.append(len(queries))
    assert counted[0] == counted[1]


@pytest.mark.parametrize("fill", LISTS, ids=lambda fill: fill.__name__)
def test_following_the_pages_meets_every_row_once(cast: Cast, fill: Callable[[Cast, int], str]) -> None:
    """Pages of two; `next` leads on until nothing is left."""
    with cast.inside():
        path = f"{base(cast)}/{fill(cast, 5)}"
    caller, seen, query = client(cast.coach), [], {"limit": "2"}
    while True:
        answer = body(caller.get(path, query=query))
        seen += [row["id"] for row in answer["items"]]
        if answer["next"] is None:
            break
        query = dict(parse_qsl(urlsplit(answer["next"]).query))
    whole = body(caller.get(path, query={"limit": "200"}))["items"]
    assert seen == [row["id"] for row in whole]
    assert len(set(seen)) == len(seen)


def test_the_calendar_by_place_and_local_date(cast: Cast) -> None:
    """Dates are those of the place, not of UTC; bounds are included."""
    stocked(cast)
    with cast.inside():
        revision = published(cast)
        late = placed(
            cast, revision, cast.harbour, dt.datetime(2030, 7, 7, 23, 30, tzinfo=dt.UTC)
        )  # 8 July there
        utc = placed(cast, revision, cast.remote, dt.datetime(2030, 7, 7, 23, 30, tzinfo=dt.UTC))
        off = placed(cast, revision, cast.remote, dt.datetime(2030, 7, 9, 8, 0, tzinfo=dt.UTC))
        cancel_session(actor=cast.coach.actor, session=off)
    caller, path = client(cast.athlete), f"{base(cast)}/scheduled-sessions"

    def found(**query: str) -> set[str]:
        return {row["id"] for row in body(caller.get(path, query=query))["items"]}

    assert found() == {str(late.id), str(utc.id), str(off.id)}
    assert found(until_date="2030-07-07") == {str(utc.id)}
    assert found(from_date="2030-07-08") == {str(late.id), str(off.id)}
    assert found(from_date="2030-07-08", until_date="2030-07-08") == {str(late.id)}
    assert found(location=str(cast.remote.id), cancelled="false") == {str(utc.id)}
    assert_problem(caller.get(path, query={"from_date": "soon"}), "invalid_input", 400, at="from_date")
    assert_problem(caller.get(path, query={"colour": "red"}), "invalid_input", 400, at="colour")
