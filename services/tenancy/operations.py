"""Migration operations that put a table under its tenant's protection.

Row-level security with FORCE, the composite foreign keys that it needs, grants for each role, and the
trigger that keeps immutable rows as they were written. The catalogue test compares the result with the models.
"""

from collections.abc import Sequence
from typing import Any

from django.db.migrations.operations.base import Operation

CURRENT_ORG = "(SELECT nullif(current_setting('app.org', true), '')::uuid)"
APP, RELAY, ERASURE, READONLY = (
    "dosewright_app",
    "dosewright_relay",
    "dosewright_erasure",
    "dosewright_readonly",
)

REFUSE_CHANGE = f"""
CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF current_user = '{ERASURE}' THEN
        RETURN CASE WHEN TG_OP = 'DELETE' THEN OLD ELSE NEW END;
    END IF;
    RAISE EXCEPTION '% rows never change; write a new version', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END $$
"""


def grants(table: str, *, immutable: bool = False) -> list[str]:
    app = "SELECT, INSERT" if immutable else "SELECT, INSERT, UPDATE, DELETE"
    return [
        f'GRANT {app} ON "{table}" TO {APP}',
        f'GRANT SELECT, UPDATE, DELETE ON "{table}" TO {ERASURE}',
        f'GRANT SELECT ON "{table}" TO {READONLY}',
    ]


def row_security(table: str) -> list[str]:
    return [
        f'ALTER TABLE "{table}" ENABLE ROW LEVEL SECURITY',
        f'ALTER TABLE "{table}" FORCE ROW LEVEL SECURITY',
        f'CREATE POLICY tenant ON "{table}" USING (org_id = {CURRENT_ORG}) WITH CHECK (org_id = {CURRENT_ORG})',
    ]


def composite_keys(model: Any) -> list[str]:
    """Foreign keys (org_id, x_id) -> (org_id, id) for each reference inside the tenant."""
    table = model._meta.db_table
    statements = [f'ALTER TABLE "{table}" ADD CONSTRAINT "{table}_org_id_id" UNIQUE (org_id, id)']
    for field in model._meta.local_fields:
        if not (field.many_to_one and not field.db_constraint):
            continue
        other = field.related_model._meta.db_table
        statements.append(
            f'ALTER TABLE "{table}" ADD CONSTRAINT "{table}_{field.column}_same_org" '
            f'FOREIGN KEY (org_id, "{field.column}") REFERENCES "{other}" (org_id, id)'
        )
    return statements


def never_changes(table: str) -> str:
    return (
        f'CREATE TRIGGER never_changes BEFORE UPDATE OR DELETE ON "{table}" '
        "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
    )


def compress_quickly(table: str, columns: Sequence[str]) -> str:
    """Have long values of columns compressed by lz4 from now on, where the server was built with it; else nothing.

    What is there already stays as it is and is read as before.
    """
    changes = ", ".join(f'ALTER COLUMN "{column}" SET COMPRESSION lz4' for column in columns)
    return f"""
DO $$ BEGIN
    IF EXISTS (
        SELECT FROM pg_settings WHERE name = 'default_toast_compression' AND 'lz4' = ANY (enumvals)
    ) THEN
        ALTER TABLE "{table}" {changes};
    END IF;
END $$
"""


class ProtectTables(Operation):
    """Protect the named models' tables; `immutable` ones may only be inserted by the app role."""

    reversible = False
    reduces_to_sql = True

    def __init__(self, app: str, names: Sequence[str], immutable: Sequence[str] = ()) -> None:
        self.app, self.names, self.immutable = app, list(names), list(immutable)

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        return self.__class__.__qualname__, [self.app, self.names], {"immutable": self.immutable}

    def state_forwards(self, app_label: str, state: Any) -> None:
        """The models do not change."""

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        models = [to_state.apps.get_model(self.app, name) for name in [*self.names, *self.immutable]]
        # Unique keys of all tables first: references may run in either direction.
        statements = [composite_keys(model)[0] for model in models]
        statements += [statement for model in models for statement in composite_keys(model)[1:]]
        for model in models:
            table = model._meta.db_table
            immutable = model._meta.object_name in self.immutable
            statements += [*row_security(table), *grants(table, immutable=immutable)]
            if immutable:
                statements.append(never_changes(table))
        for statement in statements:
            schema_editor.execute(statement)

    def describe(self) -> str:
        return f"Protect the tables of {', '.join([*self.names, *self.immutable])}"


class ProtectColumn(Operation):
    """The composite key of one reference that a later migration adds to a protected table."""

    reversible = False

    def __init__(self, app: str, name: str, field: str) -> None:
        self.app, self.name, self.field = app, name, field

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        return self.__class__.__qualname__, [self.app, self.name, self.field], {}

    def state_forwards(self, app_label: str, state: Any) -> None:
        """The models do not change."""

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        model = to_state.apps.get_model(self.app, self.name)
        column = f'"{model._meta.get_field(self.field).column}"'
        schema_editor.execute(next(s for s in composite_keys(model)[1:] if f"org_id, {column}" in s))

    def describe(self) -> str:
        return f"Keep {self.name}.{self.field} inside its organisation"
