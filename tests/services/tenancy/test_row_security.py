"""Row-level security as PostgreSQL's own catalogue and a second organisation see it."""

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, transaction

from services.tenancy.context import setting, tenant
from services.tenancy.models import Location, Membership, TenantForeignKey, TenantModel
from tests.support.cast import Cast, make_cast

# Tables without an organisation, and why they may be so.
WITHOUT_ORG = {
    "tenancy_organisation": "is the tenant itself",
    "tenancy_person": "is owned by the person",
    "access_apitoken": "is looked up before a tenant is known; policies of its own",
    "access_secondfactor": "is of a person, whatever their organisations; a policy of its own",
    "access_recoverycode": "is of a person, whatever their organisations; a policy of its own",
    "access_factorevent": "is of a person, whatever their organisations; a policy of its own",
    "django_migrations": "says what the schema is",
    "django_content_type": "names of models",
    "auth_group": "unused, the library's",
    "auth_group_permissions": "unused, the library's",
    "auth_permission": "unused, the library's",
    "knox_authtoken": "unused, the library's (swapped for access_apitoken)",
    "axes_accessattempt": "sign-in attempts, before anybody is known",
    "axes_accessattemptexpiration": "sign-in attempts, before anybody is known",
    "axes_accessfailurelog": "sign-in attempts, before anybody is known",
    "axes_accesslog": "sign-in attempts, before anybody is known",
}
NO_ROW_SECURITY = set(WITHOUT_ORG) - {"tenancy_organisation", "tenancy_person", "access_apitoken"}


def rows(sql: str, *params: object) -> list[tuple]:
    with connection.cursor() as cursor:
        cursor.execute(sql, params)
        return cursor.fetchall()


@pytest.mark.django_db
def test_every_table_is_protected_or_has_a_reason() -> None:
    """Each table has forced row security and a policy; those without an organisation are on the list."""
    tables = rows(
        """SELECT c.relname, c.relrowsecurity, c.relforcerowsecurity,
               EXISTS (SELECT 1 FROM pg_policy p WHERE p.polrelid = c.oid AND p.polwithcheck IS NOT NULL),
               EXISTS (SELECT 1 FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attname = 'org_id')
           FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
           WHERE n.nspname = 'public' AND c.relkind IN ('r', 'p')"""
    )
    assert len(tables) > 20
    for name, enabled, forced, policy, has_org in tables:
        assert has_org or name in WITHOUT_ORG, f"{name} has no org_id and no reason on the list"
        if name not in NO_ROW_SECURITY:
            assert enabled and forced and policy, f"{name}: add it to a ProtectTables operation"
    views = rows("SELECT viewname FROM pg_views WHERE schemaname = 'public'")
    views += rows("SELECT matviewname FROM pg_matviews WHERE schemaname = 'public'")
    assert views == [], "a view shows every tenant unless security_invoker; a materialised one always does"


@pytest.mark.django_db
def test_references_stay_inside_the_organisation() -> None:
    """Each TenantForeignKey has its composite key in the database."""
    keys = set(
        rows(
            """SELECT conrelid::regclass::text, pg_get_constraintdef(oid) FROM pg_constraint
               WHERE contype = 'f'"""
        )
    )
    found = 0
    for model in apps.get_models():
        if not issubclass(model, TenantModel):
            continue
        for field in model._meta.local_fields:
            if not field.many_to_one or issubclass(field.related_model, TenantModel) is False:
                continue
            assert isinstance(field, TenantForeignKey), f"{model.__name__}.{field.name}: use TenantForeignKey"
            other = field.related_model._meta.db_table
            wanted = f"FOREIGN KEY (org_id, {field.column}) REFERENCES {other}(org_id, id)"
            assert (model._meta.db_table, wanted) in keys, (
                f"{model.__name__}.{field.name} has no composite key"
            )
            found += 1
    assert found >= 20


@pytest.mark.django_db
def test_unique_keys_start_with_the_organisation() -> None:
    """A unique key without the organisation would tell that a foreign row exists."""
    for table, definition in rows(
        """SELECT c.relname, pg_get_indexdef(i.indexrelid) FROM pg_index i JOIN pg_class c ON c.oid = i.indrelid
           JOIN pg_namespace n ON n.oid = c.relnamespace
           WHERE i.indisunique AND NOT i.indisprimary AND n.nspname = 'public'
             AND EXISTS (SELECT 1 FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attname = 'org_id')"""
    ):
        secret = table in {"tenancy_invitation", "exchange_feed"} and "(digest)" in definition
        assert "(org_id" in definition or secret, definition


@pytest.mark.django_db
def test_the_app_role_owns_nothing_and_cannot_step_around() -> None:
    """No ownership, no TRUNCATE, no BYPASSRLS; nothing of the kind for the relay either."""
    assert rows("SELECT tablename FROM pg_tables WHERE tableowner = current_user") == []
    assert (
        rows(
            """SELECT table_name FROM information_schema.role_table_grants
           WHERE grantee IN ('dosewright_app', 'dosewright_relay') AND privilege_type = 'TRUNCATE'"""
        )
        == []
    )
    assert (
        rows("SELECT rolname FROM pg_roles WHERE rolname LIKE 'dosewright%%' AND (rolsuper OR rolbypassrls)")
        == []
    )


@pytest.mark.django_db
def test_without_a_tenant_there_is_nothing(cast: Cast) -> None:
    """Neither the scoped manager nor the database shows a row outside a tenant."""
    assert Location.objects.count() == 0
    assert Location.unscoped.count() == 0
    assert rows("SELECT count(*) FROM tenancy_person") == [(0,)]
    with cast.inside():
        assert Location.objects.count() == 3


@pytest.mark.django_db
def test_each_layer_suffices_alone(cast: Cast) -> None:
    """Past the manager the database hides foreign rows; the manager hides them without the database's help."""
    other = make_cast("Fenland Barbell")
    with cast.inside():
        assert {row.org_id for row in Location.unscoped.all()} == {cast.org.id}
        assert not Location.unscoped.filter(id=other.mill.id).exists()
        where = str(Location.objects.filter(id=other.mill.id).query)
        assert f'"org_id" = {cast.org.id}' in where or cast.org.id.hex in where


@pytest.mark.django_db
def test_foreign_rows_cannot_be_written(cast: Cast) -> None:
    """A row for another organisation, a move there, and a reference there are each refused."""
    other = make_cast("Fenland Barbell")
    with cast.inside():
        with pytest.raises(DatabaseError, match="row-level security"), transaction.atomic():
            Location.unscoped.create(org=other.org, name="Annexe", zone="UTC")
        with pytest.raises(DatabaseError, match="row-level security"), transaction.atomic():
            Location.unscoped.filter(id=cast.mill.id).update(org=other.org)
        assert Location.unscoped.filter(id=other.mill.id).update(name="Taken") == 0
        membership = Membership.objects.first()
        with pytest.raises(DatabaseError, match="same_org"), transaction.atomic():
            membership.places.create(org=cast.org, membership=membership, location_id=other.mill.id)


@pytest.mark.django_db
def test_the_tenant_is_left_behind_on_exit(cast: Cast) -> None:
    """Also after an error inside, and after a nested tenant."""
    other = make_cast("Fenland Barbell")
    with cast.inside():
        with pytest.raises(LookupError), transaction.atomic(), tenant(other.org.id):
            assert {row.org_id for row in Location.unscoped.all()} == {other.org.id}
            raise LookupError
        assert {row.org_id for row in Location.unscoped.all()} == {cast.org.id}
    assert rows("SELECT coalesce(current_setting('app.org', true), '')") == [("",)]


@pytest.mark.django_db
def test_a_sign_in_sees_one_person(cast: Cast) -> None:
    """Knowing an address shows that person only; knowing a token's key shows its owner only."""
    with setting("app.email", cast.coach.person.email):
        assert rows("SELECT email FROM tenancy_person") == [(cast.coach.person.email,)]
    with setting("app.token_key", cast.athlete.token[:15]):
        assert rows("SELECT id FROM tenancy_person") == [(cast.athlete.person.id,)]
        assert len(rows("SELECT digest FROM access_apitoken")) == 1
