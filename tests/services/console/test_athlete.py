"""An athlete's page: what restrains, what is known and by what, what comes, what was done."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.athletes import create_athlete
from athletes.actions.holds import set_hold
from athletes.actions.limitations import add_limitation
from programming.catalogue.shipped import shipped_catalogue
from services.console import athletes
from services.tenancy.actor import Role
from tests.services.console.browse import Seen, browser, looked_at, page
from tests.services.console.conftest import result_of, send
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db


def seen(world: World, name: str, role: Role = Role.COACH) -> Seen:
    answer = browser(world.cast.members[role]).get(page(world.cast, f"athletes/{world.athletes[name].id}"))
    assert answer.status_code == 200
    return looked_at(answer)


def test_capacity_stands_with_its_interval_and_its_tests(prescribed: World) -> None:
    """The numbers of the interface, rounded to whole repetitions; the tests that tell it below."""
    told = seen(prescribed, "Bruna Keel").text
    athlete = prescribed.athletes["Bruna Keel"].id
    items = (
        ApiClient(prescribed.cast.coach.token)
        .get(url(prescribed, f"athletes/{athlete}/capacities"))
        .json()["items"]
    )
    assert len(items) == 2
    for one in items:
        told_reps = one["repetitions"]
        assert f"{told_reps['p50']:.0f} repetitions {told_reps['p10']:.0f} to {told_reps['p90']:.0f}" in told
        most = one["one_rm"]
        assert f"{most['effective_kg']:.0f} kg ({most['lower_kg']:.0f} to {most['upper_kg']:.0f})" in told
    assert "16 repetitions to failure" in told and "24 repetitions to failure" in told
    assert "row_45" not in told
    assert "in a squat or a press with the barbell it is the load alone" in told


@pytest.mark.parametrize(
    ("key", "moves_the_body"),
    [
        ("push_up_floor", True),
        ("hip_thrust", True),
        ("back_squat_barbell", False),
        ("bench_press_barbell", False),
    ],
)
def test_what_the_page_says_of_body_weight_in_a_maximum_is_what_the_catalogue_counts(
    key: str, moves_the_body: bool
) -> None:
    fractions = {
        one.key: one.document["body_mass_fraction"]
        for movement in shipped_catalogue()
        for one in movement.variations
    }
    assert (fractions[key] > 0) is moves_the_body


def test_what_comes_and_what_was_done(prescribed: World) -> None:
    """The coming session with its brief; after a result, the score."""
    told = seen(prescribed, "Bruna Keel")
    assert "Rows and goblet squats, turn about" in told.text
    assert any("/brief" in link for link in told.links)
    assert "No result yet." in told.text
    send(prescribed, result_of(prescribed, "Bruna Keel", effort=6))
    assert "11:20 6 of 10" in seen(prescribed, "Bruna Keel").text


def test_who_has_no_version_reads_so_and_why(world: World) -> None:
    """Nobody's squat can be loaded without a body mass."""
    add_athlete(world, "Idris Vane")
    drain(world.cast)
    told = seen(world, "Idris Vane").text
    assert re.search(r"No version\. .*none is recorded", told)


def test_a_hold_says_who_may_release_it(prescribed: World) -> None:
    """On top, with what is offered meanwhile; the list of athletes marks it in words."""
    cast = prescribed.cast
    with cast.inside():
        set_hold(
            actor=cast.coach.actor,
            athlete=prescribed.athletes["Idris Vane"],
            now=timezone.now(),
            reason="Fever yesterday.",
        )
        add_limitation(
            actor=cast.coach.actor,
            athlete=prescribed.athletes["Idris Vane"],
            hazard="shoulder",
            from_date=dt.date(2026, 1, 1),
            note="after a fall",
        )
    told = seen(prescribed, "Idris Vane").text
    assert "On hold since" in told and "set by the staff" in told
    assert "It is released by an owner, a coach or staff of the location" in told
    assert "Kept away: shoulder, from Thu 1 Jan 2026 until it is lifted: after a fall" in told
    assert "As Idris Vane reads it: Answer the screening" in told  # which says "you" to the athlete
    listed = looked_at(browser(cast.coach).get(page(cast, "athletes"))).text
    assert "Idris Vane on hold: set by the staff" in listed
    assert listed.count("on hold") == 1


def test_somebody_new_has_an_empty_page_that_says_how_to_go_on(world: World) -> None:
    """Nothing known, nothing recorded."""
    add_athlete(world, "Nova Birk")
    told = seen(world, "Nova Birk").text
    assert "A test, or the first logged set, tells more than any guess" in told
    assert "None is recorded." in told and "No result yet." in told


def test_who_may_not_know_the_athlete_gets_404(prescribed: World) -> None:
    """An athlete of another, staff of another location, another organisation."""
    cast = prescribed.cast
    with cast.inside():
        away, _ = create_athlete(actor=cast.coach.actor, name="Mila Away", location_id=cast.mill.id)
    assert browser(cast.athlete).get(page(cast, f"athletes/{away.id}")).status_code == 404
    assert browser(cast.staff).get(page(cast, f"athletes/{away.id}")).status_code == 404
    assert (
        browser(cast.staff).get(page(cast, f"athletes/{prescribed.athletes['Bruna Keel'].id}")).status_code
        == 200
    )
    other = make_world()
    assert browser(other.cast.coach).get(page(other.cast, f"athletes/{away.id}")).status_code == 404
    listed = looked_at(browser(cast.staff).get(page(cast, "athletes"))).text
    assert "Bruna Keel" in listed and "Mila Away" not in listed


def test_the_list_costs_the_same_for_three_and_thirty(world: World) -> None:
    """Holds are read at once."""
    found = []
    for count in (3, 30):
        for number in range(len(world.athletes), count):
            add_athlete(world, f"Somebody {number}")
        client = browser(world.cast.coach)
        client.get("/")  # the first of an hour notes that the token was used
        with CaptureQueriesContext(connection) as queries:
            answer = client.get(page(world.cast, "athletes"))
        assert answer.content.decode().count("Somebody ") == count
        found.append(len(queries))
    assert found[0] == found[1], found


def test_of_many_athletes_one_location_or_one_name_is_shown(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A page of thousands of names helps nobody: locations with their numbers, and a field for a name."""
    monkeypatch.setattr(athletes, "MOST", 2)
    cast = world.cast
    for name in ("Ada Lund", "Bo Lund"):
        add_athlete(world, name)
    with cast.inside():
        create_athlete(actor=cast.coach.actor, name="Mila Away", location_id=cast.mill.id)
    client = browser(cast.coach)

    def listed(query: str) -> Any:
        return looked_at(client.get(page(cast, "athletes") + query))

    whole = listed("")
    assert "Harbour, 2" in whole.text and "Mill, 1" in whole.text and "Ada" not in whole.text
    assert f"?location={cast.mill.id}" in whole.links
    mill = listed(f"?location={cast.mill.id}").text
    assert "Mila Away" in mill and "Bo Lund" not in mill
    assert "Ada Lund" in listed("?name=ada").text
    assert "There are more than are shown" not in listed("?name=lund").text
    everywhere = listed("?name=l").text  # all three have one
    assert "There are more than are shown" in everywhere and everywhere.count("Lund") == 2
    assert "Nobody here has “<b>” in their name." in listed("?name=%3Cb%3E%00").text
    assert "Choose a location" in listed("?location=elsewhere").text
    own = looked_at(browser(cast.staff).get(page(cast, "athletes"))).text
    assert "Ada Lund" in own and "Mila Away" not in own, "two are not many"
