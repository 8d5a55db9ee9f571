"""Reads written with the query builder and put into SQL once for a process.

Building a statement takes the query builder a millisecond or two, many times what PostgreSQL takes to answer it; a
recompute asks some eighty times. What is decorated here is built at the first call and from then on only executed.

    @compiled
    def _weighings(athletes: Given) -> QuerySet[BodyMass, tuple[UUID, float]]:
        return BodyMass.objects.filter(athlete_id=any_of(athletes)).values_list("athlete_id", "body_mass_kg")

    rows = _weighings(athletes=[one, another])

The function must depend on nothing but its arguments, and uses them as values of filters alone: it never sees what
they are; None equals nothing, as in SQL. Whatever else varies (the clock, a setting) must be an argument too. The
organisation need not be one: the scoped manager names it, and that of each call is put in its place.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Generic, TypeVar
from uuid import UUID, uuid4

from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import QuerySet, Value
from django.db.models.query import (
    FlatValuesListIterable,
    ModelIterable,
    ValuesListIterable,
    get_related_populators,
)
from django.db.models.sql import DeleteQuery

from services.tenancy.actor import Actor, Role
from services.tenancy.context import required_org
from services.tenancy.cursors import kept_cursor

RowT = TypeVar("RowT")


class Given(Value):
    """The place of an argument in a statement."""

    def __init__(self, name: str, sql: str = "%s") -> None:
        super().__init__(name)
        self.sql = sql

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, Any]:
        return self.sql, [self]


def any_of(given: Given) -> Given:
    """To be compared with by equality: what equals one of the list that is given, which may be empty."""
    return Given(given.value, "ANY(%s)")


class _Organisation:
    """The place of the organisation."""


@dataclass(frozen=True)
class _Statement:
    """params: values, and the places of those that each call gives."""

    sql: str
    params: tuple[Any, ...]

    def values(self, given: Mapping[str, Any]) -> list[Any]:
        return [self._value(one, given) for one in self.params]

    def _value(self, param: Any, given: Mapping[str, Any]) -> Any:
        if isinstance(param, Given):
            return given[param.value]
        return required_org() if isinstance(param, _Organisation) else param


class _Compiled:
    """A statement that is made at the first call; the organisation of that call leaves no trace in it."""

    def __init__(self, build: Callable[..., QuerySet[Any, Any]]) -> None:
        self._build = build
        self._names = tuple(inspect.signature(build).parameters)
        self.__doc__ = build.__doc__

    def _rows(self) -> QuerySet[Any, Any]:
        return self._build(**{name: Given(name) for name in self._names})

    def _statement(self, compiler: Any) -> _Statement:
        org_id: UUID = required_org()
        sql, params = compiler.as_sql()
        return _Statement(sql, tuple(_Organisation() if one == org_id else one for one in params))


class CompiledRead(_Compiled, Generic[RowT]):
    """Call it with the arguments by name: the rows, as the query set would give them. One query."""

    _made: tuple[_Statement, Callable[[list[Any]], list[Any]]] | None = None

    def __call__(self, **given: Any) -> list[RowT]:
        if self._made is None:
            self._made = self._make()
        statement, read = self._made
        cursor = kept_cursor()
        cursor.execute(statement.sql, statement.values(given))
        return read(cursor.fetchall())

    def first(self, **given: Any) -> RowT | None:
        """The first of the rows; the query should ask for one alone."""
        rows = self(**given)
        return rows[0] if rows else None

    def _make(self) -> tuple[_Statement, Callable[[list[Any]], list[Any]]]:
        rows = self._rows()
        if rows._prefetch_related_lookups:  # type: ignore[attr-defined]
            raise TypeError("What is compiled is one statement: read what is prefetched by another.")
        compiler: Any = rows.query.get_compiler(connection=connection)
        statement = self._statement(compiler)
        converters = compiler.get_converters([column for column, _, _ in compiler.select])
        shape = _shape(rows, compiler)

        def read(fetched: Sequence[Any]) -> list[Any]:
            values = compiler.apply_converters(fetched, converters) if converters else fetched
            return [shape(row) for row in values]

        return statement, read


def _shape(rows: QuerySet[Any, Any], compiler: Any) -> Callable[[Sequence[Any]], Any]:
    """What becomes of the columns of a row. Raises TypeError for what query sets give otherwise."""
    if rows._iterable_class is ValuesListIterable:
        return tuple
    if rows._iterable_class is FlatValuesListIterable:
        return lambda row: row[0]
    if rows._iterable_class is not ModelIterable or compiler.annotation_col_map:
        raise TypeError("Compile rows without annotations, or values_list.")
    own = compiler.klass_info["select_fields"]
    names = [compiler.select[at][0].target.attname for at in own]
    # The stubs are of a later Django.
    related = get_related_populators(compiler.klass_info, compiler.select, connection.alias)  # type: ignore[call-arg]

    def instance(row: Sequence[Any]) -> Any:
        found = rows.model.from_db(connection.alias, names, row[own[0] : own[-1] + 1])
        for one in related:
            one.populate(row, found)
        return found

    return instance


class CompiledSight(Generic[RowT]):
    """Call it with who asks, and the arguments by name: the rows, as far as that actor may see them. One query.

    Whatever decides what an actor may see asks for role and ids alone: so there is a statement for each role and
    each number of locations, made for an actor whose ids are nobody's; those of whoever asks take their place.
    """

    def __init__(self, build: Callable[..., QuerySet[Any, Any]]) -> None:
        self._build = build
        self._made: dict[tuple[Role, int], _SightRead[RowT]] = {}
        self.__doc__ = build.__doc__

    def __call__(self, actor: Actor, **given: Any) -> list[RowT]:
        key = actor.role, len(actor.location_ids)
        if key not in self._made:
            self._made[key] = _SightRead(self._build, *key)
        return self._made[key](**given, **_ids_of(actor))


class _SightRead(CompiledRead[RowT]):
    def __init__(self, build: Callable[..., QuerySet[Any, Any]], role: Role, locations: int) -> None:
        somewhere = frozenset(uuid4() for _ in range(locations))
        self._nobody = Actor(uuid4(), uuid4(), uuid4(), role, somewhere)
        super().__init__(partial(build, self._nobody))

    def __call__(self, **given: Any) -> list[RowT]:
        try:
            return super().__call__(**given)
        except EmptyResultSet:  # of staff of no location
            return []

    def _statement(self, compiler: Any) -> _Statement:
        made = super()._statement(compiler)
        places = {value: Given(name) for name, value in _ids_of(self._nobody).items()}
        params = (places.get(one, one) if isinstance(one, UUID) else one for one in made.params)
        return _Statement(made.sql, tuple(params))


def _ids_of(actor: Actor) -> dict[str, UUID]:
    """By the name of their place; of locations in any order, since no statement tells them apart."""
    places = {f"actor.location.{number}": one for number, one in enumerate(actor.location_ids)}
    return {"actor.person": actor.person_id, "actor.membership": actor.membership_id, **places}


class CompiledDelete(_Compiled):
    """Call it with the arguments by name: removes the rows, and nothing that refers to them. One query."""

    _made: _Statement | None = None

    def __call__(self, **given: Any) -> int:
        if self._made is None:
            query = self._rows().query.chain(klass=DeleteQuery)
            self._made = self._statement(query.get_compiler(connection=connection))
        cursor = kept_cursor()
        cursor.execute(self._made.sql, self._made.values(given))
        return int(cursor.rowcount)


def compiled(build: Callable[..., QuerySet[Any, RowT]]) -> CompiledRead[RowT]:
    """The rows of the query set that `build` makes of its arguments."""
    return CompiledRead(build)


def compiled_sight(build: Callable[..., QuerySet[Any, RowT]]) -> CompiledSight[RowT]:
    """The same for a function that also takes, first, who asks."""
    return CompiledSight(build)


def compiled_delete(build: Callable[..., QuerySet[Any, Any]]) -> CompiledDelete:
    """Removal of the rows of the query set that `build` makes of its arguments."""
    return CompiledDelete(build)
