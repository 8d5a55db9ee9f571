"""Every table with what it keeps of whom, put together from the apps; and the rows that are about one athlete."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.apps import apps
from django.db.models import Model, Q, QuerySet

import athletes.personal
import programming.personal
import scoring.personal
import services.access.personal
import services.api.personal
import services.changes.personal
import services.exchange.personal
import services.tenancy.personal
from athletes.models import Athlete
from scoring.models import OfficialScore
from services.tenancy.models import Person, TenantModel
from services.tenancy.personal import Kept

TABLES: Final[tuple[Kept, ...]] = (
    *services.tenancy.personal.TABLES,
    *services.access.personal.TABLES,
    *services.api.personal.TABLES,
    *services.changes.personal.TABLES,
    *programming.personal.TABLES,
    *athletes.personal.TABLES,
    *scoring.personal.TABLES,
    *services.exchange.personal.TABLES,
)
ALWAYS: Final = ("id", "created_at")

# By the last step of a look-up, whose id stands there.
_OF_ATHLETE: Final = frozenset({"athlete_id", "subject"})
_OF_PERSON: Final = frozenset(
    {"person_id", "user_id", "principal_id", "made_by_id", "placed_by_id", "published_by_id", "set_by_id"}
)


@dataclass(frozen=True)
class About:
    """Whom an export is about: the athlete, and who that is where they sign in."""

    athlete_id: UUID
    person_id: UUID | None
    email: str | None


def about(athlete: Athlete) -> About:
    """One query where the athlete signs in."""
    person = None if athlete.person_id is None else Person.objects.filter(id=athlete.person_id).first()
    return About(athlete.id, athlete.person_id, None if person is None else person.email)


def model_of(table: Kept) -> type[Model]:
    return apps.get_model(table.model)


def columns_of(table: Kept, *, whole: bool) -> tuple[str, ...]:
    """Columns that go out: of an athlete those of the export map, whole: all but secrets."""
    model = model_of(table)
    there = {field.name: field.attname for field in model._meta.local_fields}
    named = table.personal + table.actors + (table.impersonal if whole else ())
    return tuple(there[name] for name in (*ALWAYS, *named) if name in there)


def all_rows(table: Kept) -> QuerySet[Any]:
    """What the organisation has; the database shows no row of another."""
    model = model_of(table)
    if issubclass(model, TenantModel):
        return model.objects.all()
    return model._default_manager.all()


def rows_about(table: Kept, whom: About) -> QuerySet[Any]:
    """The rows of the table that are about the athlete, or about who that is."""
    found = Q(pk__in=[])
    for path in table.subject:
        found |= _where(table, path, whom)
    return all_rows(table).filter(found)


def _where(table: Kept, path: str, whom: About) -> Q:
    last = path.split("__")[-1]
    nobody = Q(pk__in=[])
    if last in _OF_ATHLETE or (last == "id" and table.model == "athletes.Athlete"):
        return Q(**{path: whom.athlete_id})
    if last in _OF_PERSON or (last == "id" and table.model == "tenancy.Person"):
        return Q(**{path: whom.person_id}) if whom.person_id is not None else nobody
    if last == "email":
        return Q(**{path: whom.email}) if whom.email else nobody
    if last == "session_id":
        scores = OfficialScore.objects.filter(athlete_id=whom.athlete_id)
        return Q(**{f"{path}__in": scores.values("session_id")})
    raise ValueError(f"{table.model}: an export does not know whom {path} leads to")


def own_part(table: Kept, row: Mapping[str, Any], whom: About) -> dict[str, Any]:
    """Of a row that names many in JSON lists, as rankings do, what is about the athlete alone."""
    if table.model != "scoring.Ranking":
        return dict(row)
    return {name: _mine(value, str(whom.athlete_id)) for name, value in row.items()}


def _mine(value: Any, athlete: str) -> Any:
    if isinstance(value, list):
        return [_mine(one, athlete) for one in value if _may_be(one, athlete)]
    if isinstance(value, dict):
        return {name: _mine(one, athlete) for name, one in value.items()}
    return value


def _may_be(entry: Any, athlete: str) -> bool:
    """An entry that names an athlete names this one."""
    return not isinstance(entry, dict) or entry.get("athlete", athlete) == athlete
