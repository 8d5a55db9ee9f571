"""One throw-away PostgreSQL and Redis for a test run, started before Django reads its settings.

Loaded with `-p` (pyproject.toml). Each process of a run (xdist) has a database of its own, made by the
owner role; every test then speaks as the app role, since a superuser passes row-level security silently.
"""

from __future__ import annotations

import gc
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg
import pytest
from psycopg import sql

# Before numpy is imported: its matrices here are small, and threads that wait for each other are processor time too.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

STARTED = "DOSEWRIGHT_TEST_SERVERS"
MIGRATED = "DOSEWRIGHT_TEST_MIGRATED"
_stack: list[tuple[object, Path]] = []


def _is_pure(args: list[str]) -> bool:
    """Whether only the pure core's tests were asked for; they need no server: `pytest tests/athletes/calc`."""
    paths = [arg for arg in args if not arg.startswith("-") and ("/" in arg or arg.endswith(".py"))]
    return bool(paths) and all("calc" in Path(path.split("::")[0]).parts for path in paths)


def _with_database(address: str, name: str) -> str:
    parts = urlsplit(address)
    return urlunsplit(parts._replace(path=f"/{name}"))


def _database(name: str) -> dict[str, str]:
    """A new one, as the one migrated for all where there is that; the addresses that lead to it."""
    like = sql.Identifier(os.environ.get(MIGRATED, "template1"))
    owner = os.environ["DATABASE_OWNER_URL"]
    with psycopg.connect(owner, autocommit=True) as connection:
        connection.execute(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))
        connection.execute(sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(sql.Identifier(name), like))
    variables = [key for key in os.environ if key.startswith("DATABASE_") and key.endswith("URL")]
    return {variable: _with_database(os.environ[variable], name) for variable in variables}


def _prepare() -> None:
    """Kernels and tables, before processes share the tests, each of which would compile and migrate for itself."""
    code = "import django; django.setup(); {}"
    parts = (
        "from services.pipeline import warm; warm.warm_capacity()",
        "from services.pipeline import warm; warm.warm_prescribing()",
        "from django.core.management import call_command; call_command('migrate', verbosity=0)",
    )
    environ = {**os.environ, **_database("test_migrated"), "DJANGO_SETTINGS_MODULE": "services.settings.test"}
    started = [subprocess.Popen([sys.executable, "-c", code.format(part)], env=environ) for part in parts]
    codes = [one.wait() for one in started]
    if any(codes):
        raise RuntimeError("Kernels or tables cannot be made; what is printed above says why.")
    os.environ[MIGRATED] = "test_migrated"


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_load_initial_conftests(args: list[str]) -> Iterator[None]:
    # What is imported stays, and is much: the collector need not walk through it after every 700 objects.
    gc.set_threshold(50_000, 20, 20)
    if not _is_pure(args):
        if STARTED not in os.environ:
            from services.devstack.stack import Stack

            directory = Path(tempfile.mkdtemp(prefix="dosewright-test-"))
            stack = Stack(directory, durable=False)
            stack.start()
            _stack.append((stack, directory))
            os.environ.update(stack.env)
            os.environ[STARTED] = "1"
            if "-n" in args:
                _prepare()
        os.environ.update(_database(f"test_{os.environ.get('PYTEST_XDIST_WORKER', 'main')}"))
    try:
        return (yield)
    except BaseException:
        _stop()
        raise


def pytest_collection_finish() -> None:
    gc.freeze()  # nor at all, once everything is imported


def pytest_unconfigure() -> None:
    _stop()


def _stop() -> None:
    while _stack:
        from services.devstack.clean import clean

        stack, directory = _stack.pop()
        stack.stop()
        clean(directory)
        os.environ.pop(STARTED, None)
        os.environ.pop(MIGRATED, None)
