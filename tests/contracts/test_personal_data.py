"""Every personal field is named in the export map and in the erasure map, or said not to be personal."""

import pytest
from django.apps import apps
from django.db.models import ForeignKey

import athletes.personal
import programming.personal
import scoring.personal
import services.access.personal
import services.api.personal
import services.changes.personal
import services.exchange.personal
import services.tenancy.personal
from services.exchange import kept
from services.tenancy.models import TenantModel
from services.tenancy.personal import Erase, Kept, erasure_map, export_map

OWN = ("services", "programming", "athletes", "scoring")
TABLES: tuple[Kept, ...] = (
    *services.tenancy.personal.TABLES,
    *services.changes.personal.TABLES,
    *services.api.personal.TABLES,
    *services.access.personal.TABLES,
    *services.exchange.personal.TABLES,
    *programming.personal.TABLES,
    *athletes.personal.TABLES,
    *scoring.personal.TABLES,
)
# The server's own identifiers and its clock, in every table.
EVERYWHERE = {"id", "org", "created_at"}
# Fields that cannot be other than personal, whatever a list says.
SURELY = {"athlete", "person", "email", "name_of_person", "born_on", "sex", "body_mass_kg"}


def models() -> dict[str, type]:
    found = {m._meta.label: m for m in apps.get_models() if m.__module__.split(".")[0] in OWN}
    assert len(found) > 20
    return found


def test_exports_know_every_table() -> None:
    """What this test lists is what an export goes through."""
    assert sorted(table.model for table in kept.TABLES) == sorted(table.model for table in TABLES)


def test_every_table_is_listed_once() -> None:
    """A new model without its line fails here: say what it keeps of whom, and how that is erased."""
    assert sorted(table.model for table in TABLES) == sorted(models())


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.model)
def test_every_field_is_named(table: Kept) -> None:
    """Each field stands in exactly one list, and no list names a field that is not there."""
    lists = (*table.personal, *table.impersonal, *table.actors, *table.secret)
    assert len(set(lists)) == len(lists)
    fields = {field.name for field in models()[table.model]._meta.local_fields} - EVERYWHERE
    assert table.named == fields


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.model)
def test_the_lists_are_plausible(table: Kept) -> None:
    """References to persons and athletes are never impersonal; who has personal fields has a subject."""
    for name in table.impersonal:
        field = models()[table.model]._meta.get_field(name)
        about = field.related_model._meta.label if isinstance(field, ForeignKey) else ""
        assert about not in {"tenancy.Person", "athletes.Athlete"}, name
        assert name not in SURELY
    assert bool(table.subject) == (table.erase is not Erase.NOTHING)
    assert bool(table.personal or table.actors or table.secret) == (table.erase is not Erase.NOTHING)


@pytest.mark.parametrize("table", [t for t in TABLES if t.subject], ids=lambda table: table.model)
def test_a_subject_can_be_looked_up(table: Kept) -> None:
    """Each look-up is one the ORM understands."""
    model = models()[table.model]
    manager = model.unscoped if issubclass(model, TenantModel) else model.objects
    for path in table.subject:
        str(manager.filter(**{f"{path}__isnull": False}).query)


def test_the_two_maps_cover_the_same_people_s_data() -> None:
    """Whatever is exported is also erased; only secrets are erased without being exported."""
    exported, erased = export_map(TABLES), erasure_map(TABLES)
    for model, fields in exported.items():
        assert set(fields) <= set(erased[model])
    assert "password" not in exported["tenancy.Person"]
    assert "password" in erased["tenancy.Person"]
    assert {"athletes.BodyMass", "scoring.Attempt", "scoring.Ranking"} <= set(exported)
