"""Compiled reads give what their query sets give, in every organisation and for every argument."""

from dataclasses import replace
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.db.models import Count, Exists, OuterRef, QuerySet
from django.test.utils import CaptureQueriesContext

from athletes.models import Athlete, BodyMass
from athletes.queries import athletes_visible_to
from services.tenancy.actor import Actor
from services.tenancy.compiled import Given, any_of, compiled, compiled_delete, compiled_sight
from tests.support.world import World, add_athlete, make_world

pytestmark = pytest.mark.django_db


def _weighed(athletes: Given) -> QuerySet[Athlete]:
    heavy = BodyMass.objects.filter(athlete=OuterRef("id"), body_mass_kg__gt=60)
    return Athlete.objects.filter(Exists(heavy), id=any_of(athletes)).order_by("name")


@pytest.fixture
def world() -> World:
    world = make_world()
    for name, mass in (("Ada", 62.0), ("Bo", 71.0), ("Cy", 58.0)):
        add_athlete(world, name, mass)
    return world


def test_rows_are_those_of_the_query_set(world: World) -> None:
    """Instances, tuples and single values; with JSON read as JSON."""
    with world.cast.inside():
        rows = list(Athlete.objects.filter(body_masses__body_mass_kg__gt=60).order_by("name"))
        ids = [one.id for one in world.athletes.values()]
        Athlete.objects.filter(id=ids[0]).update(kit={"items": {"rings": {}}})
        found = compiled(_weighed)(athletes=ids)
        assert found == rows and [one.name for one in found] == ["Ada", "Bo"]
        assert found[0].kit == {"items": {"rings": {}}} and not found[0]._state.adding
        pairs = compiled(lambda athletes: _weighed(athletes).values_list("id", "kit"))
        assert pairs(athletes=ids) == [(ids[0], {"items": {"rings": {}}}), (ids[1], None)]
        names = compiled(lambda athletes: _weighed(athletes).values_list("name", flat=True))
        assert names(athletes=ids) == ["Ada", "Bo"]
        placed = compiled(lambda athletes: _weighed(athletes).select_related("location"))(athletes=ids)
        with CaptureQueriesContext(connection) as queries:
            assert [(one.name, one.location.name) for one in placed] == [
                (one.name, world.cast.harbour.name) for one in rows
            ]
        assert len(queries) == 0


def test_every_call_answers_its_own_arguments(world: World) -> None:
    """In one query each, and an empty list of ids finds nobody."""
    read = compiled(lambda athletes: _weighed(athletes).values_list("name", flat=True))
    ids = {name: one.id for name, one in world.athletes.items()}
    with world.cast.inside():
        for names, expected in ((["Bo"], ["Bo"]), ([], []), (["Ada", "Cy"], ["Ada"])):
            with CaptureQueriesContext(connection) as queries:
                assert read(athletes=[ids[name] for name in names]) == expected
            assert len(queries) == 1
        assert read.first(athletes=[]) is None
        assert read.first(athletes=list(ids.values())) == "Ada"


def test_another_organisation_sees_its_own_rows(world: World) -> None:
    """A statement that one organisation has compiled gives the other one nothing of it, and what is its own."""
    rival = make_world()
    add_athlete(rival, "Ada", 90.0)
    read = compiled(_weighed)
    mine, theirs = world.athletes["Ada"].id, rival.athletes["Ada"].id
    with world.cast.inside():
        assert [one.id for one in read(athletes=[mine, theirs])] == [mine]
    with rival.cast.inside():
        assert [one.id for one in read(athletes=[mine, theirs])] == [theirs]
    assert read._made is not None
    kept = [str(one) for one in read._made[0].params]
    assert str(world.cast.org.id) not in kept and str(rival.cast.org.id) not in kept


def test_outside_of_an_organisation_nothing_is_read(world: World) -> None:
    read = compiled(_weighed)
    for _ in range(2):
        with pytest.raises(RuntimeError, match="tenant"):
            read(athletes=[uuid4()])
        with world.cast.inside():
            read(athletes=[uuid4()])


def test_removal_takes_the_rows_that_are_meant(world: World) -> None:
    remove = compiled_delete(lambda athletes: BodyMass.objects.filter(athlete_id=any_of(athletes)))
    with world.cast.inside():
        assert remove(athletes=[world.athletes["Ada"].id, uuid4()]) == 1
        assert remove(athletes=[]) == 0
        left = BodyMass.objects.order_by("body_mass_kg").values_list("body_mass_kg", flat=True)
        assert list(left) == [58.0, 71.0]


def test_what_cannot_be_told_is_refused(world: World) -> None:
    """Annotated instances and dictionaries would come without what was asked for."""
    shapes: list[Any] = [
        lambda: Athlete.objects.annotate(n=Count("body_masses")),
        lambda: Athlete.objects.values("id"),
    ]
    with world.cast.inside():
        for build in shapes:
            with pytest.raises(TypeError, match="values_list"):
                compiled(build)()


def _seen(actor: Actor, athletes: Given) -> QuerySet[Athlete, str]:
    rows = athletes_visible_to(actor).filter(id=any_of(athletes)).order_by("name")
    return rows.values_list("name", flat=True)


def test_every_actor_sees_what_is_theirs(world: World) -> None:
    """One after the other by one statement of their role: staff of this place and of that, of two and of none; an
    athlete; whoever sees everybody. No id of any of them is kept.
    """
    cast, ids = world.cast, [one.id for one in world.athletes.values()]
    read = compiled_sight(_seen)
    with cast.inside():
        Athlete.objects.filter(name="Bo").update(location=cast.mill)
        Athlete.objects.filter(name="Cy").update(person=cast.athlete.person)
        staff, other = cast.staff.actor, replace(cast.athlete.actor, person_id=cast.coach.person.id)
        places = [{cast.harbour.id}, {cast.mill.id}, {cast.harbour.id, cast.mill.id}, set()]
        actors = [replace(staff, location_ids=frozenset(one)) for one in places]
        actors += [cast.athlete.actor, other, cast.coach.actor, cast.owner.actor]
        for actor in [*actors, *reversed(actors)]:
            expected = list(athletes_visible_to(actor).order_by("name").values_list("name", flat=True))
            assert read(actor, athletes=ids) == expected
        assert read(cast.athlete.actor, athletes=ids) == ["Cy"] and read(other, athletes=ids) == []
        assert read(actors[1], athletes=ids) == ["Bo"] and read(actors[3], athletes=ids) == []
    kept = {str(param) for one in read._made.values() if one._made for param in one._made[0].params}
    known = {cast.athlete.person.id, cast.coach.person.id, cast.harbour.id, cast.mill.id, cast.org.id}
    assert not kept & {str(one) for one in known}
