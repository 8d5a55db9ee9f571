"""The development servers: started, reused, closed to all but their roles, ended with their runner."""

from __future__ import annotations

import os
import pwd
import signal
import stat
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
import pytest
import redis
from redis.backoff import NoBackoff
from redis.retry import Retry

from services.devstack import state
from services.devstack.clean import clean
from services.devstack.processes import PORTS, StackError, began, wait_until
from services.devstack.roles import ROLE_OF_SETTING
from services.devstack.stack import Stack, external_addresses
from tests.devstack.support import cleaned, listens, runner, server_pids

WAIT_S = 20.0
REFUSALS = (psycopg.errors.InsufficientPrivilege, psycopg.errors.ReadOnlySqlTransaction)


@pytest.fixture(scope="module")
def directory(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """One directory for all tests of this module: making a cluster is the slow part."""
    path = tmp_path_factory.mktemp("stack")
    yield path
    clean(path)


def connect(env: dict[str, str], setting: str) -> psycopg.Connection[tuple[object, ...]]:
    """A connection in autocommit mode with the address of one setting."""
    return psycopg.connect(env[setting], autocommit=True)


def test_a_stack_serves_every_role_and_a_queue(directory: Path) -> None:
    """Each address reaches its service as its own role, on the loopback and below port 32768."""
    with Stack(directory, durable=True, environ={}) as stack:
        assert set(stack.env) == {*ROLE_OF_SETTING, "REDIS_URL"}
        for setting, role in ROLE_OF_SETTING.items():
            with connect(stack.env, setting) as connection:
                assert connection.execute("SELECT current_user, version()").fetchone()[0] == role  # type: ignore[index]
        assert redis.from_url(stack.env["REDIS_URL"]).ping()
        for url in stack.env.values():
            assert urlsplit(url).hostname == "127.0.0.1"
            assert urlsplit(url).port in PORTS
        pids = server_pids(directory)
        assert None not in pids
    assert server_pids(directory) == (None, None)


def test_servers_never_run_as_root(directory: Path) -> None:
    """Started by root they belong to nobody; started by anybody else, to the starter."""
    expected = pwd.getpwnam("nobody").pw_uid if os.geteuid() == 0 else os.geteuid()
    with Stack(directory, durable=True, environ={}):
        for pid in server_pids(directory):
            assert Path(f"/proc/{pid}").stat().st_uid == expected


def test_a_second_start_reuses_data_passwords_and_ports(directory: Path) -> None:
    """What was stored is there after a stop and a start, under the same addresses."""
    with Stack(directory, durable=True, environ={}) as stack:
        first = dict(stack.env)
        with connect(first, "DATABASE_OWNER_URL") as connection:
            connection.execute("CREATE TABLE kept AS SELECT 41 AS value")
        redis.from_url(first["REDIS_URL"]).set("kept", "42")
    with Stack(directory, durable=True, environ={}) as stack:
        assert stack.env == first
        with connect(first, "DATABASE_OWNER_URL") as connection:
            assert connection.execute("SELECT value FROM kept").fetchone() == (41,)
            connection.execute("DROP TABLE kept")
        assert redis.from_url(first["REDIS_URL"]).get("kept") == b"42"


def test_the_passwords_are_needed_and_private(directory: Path) -> None:
    """No password, no entry; the file that keeps them is readable by its owner alone."""
    with Stack(directory, durable=True, environ={}) as stack:
        for setting in ROLE_OF_SETTING:
            parts = urlsplit(stack.env[setting])
            with pytest.raises(psycopg.OperationalError, match="password authentication failed"):
                psycopg.connect(
                    parts._replace(netloc=parts.netloc.replace(parts.password or "", "x")).geturl()
                )
        port = urlsplit(stack.env["REDIS_URL"]).port or 0
        with pytest.raises(redis.exceptions.AuthenticationError):
            redis.Redis(port=port, retry=Retry(NoBackoff(), 0)).ping()
        assert stack.env["REDIS_URL"].split(":")[2].split("@")[0] not in " ".join(
            Path(f"/proc/{pid}/cmdline").read_text() for pid in server_pids(directory)
        )
    assert stat.S_IMODE((directory / state.STATE_FILE).stat().st_mode) == 0o600


def test_no_role_escapes_row_level_security(directory: Path) -> None:
    """A forced policy hides rows from the app and from the owner; nobody may switch it off."""
    with Stack(directory, durable=True, environ={}) as stack:
        with connect(stack.env, "DATABASE_OWNER_URL") as owner:
            owner.execute("CREATE TABLE guarded (org int)")
            owner.execute("INSERT INTO guarded VALUES (1), (2)")
            owner.execute("ALTER TABLE guarded ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY")
            owner.execute("CREATE POLICY mine ON guarded USING (org = 1)")
            owner.execute("GRANT SELECT ON guarded TO PUBLIC")
            assert owner.execute("SELECT count(*) FROM guarded").fetchone() == (1,)
        for setting in set(ROLE_OF_SETTING) - {"DATABASE_OWNER_URL"}:
            with connect(stack.env, setting) as connection:
                assert connection.execute("SELECT org FROM guarded").fetchall() == [(1,)]
                connection.execute("SET row_security = off")
                with pytest.raises(psycopg.errors.InsufficientPrivilege):
                    connection.execute("SELECT org FROM guarded")
                for forbidden in (
                    "ALTER TABLE guarded DISABLE ROW LEVEL SECURITY",
                    "ALTER ROLE CURRENT_USER BYPASSRLS",
                    "SET ROLE dosewright_owner",
                    "CREATE DATABASE other",
                ):
                    with pytest.raises(REFUSALS):
                        connection.execute(forbidden)
        with connect(stack.env, "DATABASE_OWNER_URL") as owner:
            owner.execute("DROP TABLE guarded")


def test_roles_hold_in_databases_made_by_the_owner(directory: Path) -> None:
    """The owner can make test databases; in them only the owner makes tables, and limits hold."""
    with Stack(directory, durable=True, environ={}) as stack:
        with connect(stack.env, "DATABASE_OWNER_URL") as owner:
            owner.execute("CREATE DATABASE test_made")
        inside = {name: url.removesuffix("/dosewright") + "/test_made" for name, url in stack.env.items()}
        with connect(inside, "DATABASE_URL") as app:
            with pytest.raises(psycopg.errors.InsufficientPrivilege):
                app.execute("CREATE TABLE public.mine ()")
            limits = "statement_timeout", "lock_timeout", "idle_in_transaction_session_timeout"
            shown = [app.execute(f"SHOW {name}").fetchone() for name in limits]
            assert shown == [("15s",), ("2s",), ("1min",)]
        with connect(inside, "DATABASE_READONLY_URL") as readonly, pytest.raises(REFUSALS[1]):
            readonly.execute("CREATE TABLE mine ()")
        with connect(stack.env, "DATABASE_OWNER_URL") as owner:
            owner.execute("DROP DATABASE test_made")


def test_a_killed_runner_leaves_no_server(directory: Path) -> None:
    """After kill -9 of the runner alone, its guard ends the servers."""
    with runner(directory) as running:
        pids = server_pids(directory)
        assert None not in pids
        running.process.kill()
        assert wait_until(lambda: server_pids(directory) == (None, None), WAIT_S)
        assert wait_until(lambda: began(running.guard) is None, WAIT_S)
    assert not any(listens(url) for url in running.env.values())


def test_a_start_recovers_when_the_guard_was_killed_too(directory: Path) -> None:
    """After kill -9 of guard and runner the servers stay; the next start ends them, data kept."""
    with runner(directory) as running:
        with connect(running.env, "DATABASE_OWNER_URL") as owner:
            owner.execute("CREATE TABLE survivor AS SELECT 7 AS value")
        os.kill(running.guard, signal.SIGKILL)
        running.process.kill()
        running.process.wait()
        left = server_pids(directory)
        assert None not in left
    with Stack(directory, durable=True, environ={}) as stack:
        assert set(left).isdisjoint(server_pids(directory))
        with connect(stack.env, "DATABASE_OWNER_URL") as owner:
            assert owner.execute("SELECT value FROM survivor").fetchone() == (7,)
            owner.execute("DROP TABLE survivor")


def test_sigterm_ends_the_runner_in_order(directory: Path) -> None:
    """SIGTERM stops both servers before the runner itself ends, and no guard stays."""
    with runner(directory) as running:
        running.process.terminate()
        assert running.process.wait(timeout=WAIT_S) == 0
        assert server_pids(directory) == (None, None)
        assert began(running.guard) is None
    assert "database system is shut down" in (directory / "postgres.log").read_text().splitlines()[-1]


def test_a_directory_has_one_runner(directory: Path) -> None:
    """A second runner is refused, and the first one goes on."""
    with Stack(directory, durable=True, environ={}) as stack:
        with pytest.raises(StackError, match="in use by another process"):
            Stack(directory, durable=True, environ={}).start()
        assert redis.from_url(stack.env["REDIS_URL"]).ping()


def test_the_programs_in_the_wheels_serve_from_behind_a_closed_door(tmp_path: Path) -> None:
    """A throw-away stack below a 0700 directory starts from the wheels, and cleaning removes its data."""
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o700)
    with (
        cleaned(closed / "run"),
        Stack(closed / "run", durable=False, environ={}, programs="wheels") as stack,
    ):
        with connect(stack.env, "DATABASE_URL") as connection:
            assert connection.execute("SHOW fsync").fetchone() == ("off",)
        assert redis.from_url(stack.env["REDIS_URL"]).ping()
        kept = state.load(closed / "run")
        assert kept is not None
        assert kept.home.exists()
    assert not kept.home.exists()
    assert not (closed / "run").exists()


def test_given_addresses_start_nothing(tmp_path: Path) -> None:
    """With every address in the environment the stack passes them on and starts no server."""
    given = {name: f"postgresql://{role}:p@db.test/d" for name, role in ROLE_OF_SETTING.items()}
    given["REDIS_URL"] = "redis://queue.test/0"
    with cleaned(tmp_path / "run"), Stack(tmp_path / "run", durable=False, environ=given) as stack:
        assert stack.env == given
        assert server_pids(tmp_path / "run") == (None, None)


def test_half_given_addresses_are_refused() -> None:
    """One database address cannot stand for five roles; the message names what is missing."""
    with pytest.raises(StackError, match="DATABASE_OWNER_URL, DATABASE_RELAY_URL"):
        external_addresses({"DATABASE_URL": "postgresql://someone@db.test/d"})


def test_a_killed_throw_away_stack_leaves_no_data(tmp_path: Path) -> None:
    """Throw-away data go with their servers when the runner is killed."""
    with cleaned(tmp_path / "run"), runner(tmp_path / "run", "--throw-away") as running:
        kept = state.load(tmp_path / "run")
        assert kept is not None
        running.process.kill()
        assert wait_until(lambda: not kept.home.exists(), WAIT_S)
        assert wait_until(lambda: began(running.guard) is None, WAIT_S)
    assert not any(listens(url) for url in running.env.values())
