"""A command of manage.py runs with servers around it, which go with it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from services.devstack import launch
from services.devstack.processes import began, wait_until
from services.devstack.roles import ROLE_OF_SETTING
from tests.devstack.support import ROOT, cleaned, listens

WAIT_S = 20.0
# Stands in for manage.py: writes what it was given, then waits for a signal when told so.
COMMAND = """
import json, os, signal, sys, time
def leave(number, frame):
    sys.exit(7)
signal.signal(signal.SIGTERM, leave)
with open(sys.argv[2] + ".part", "w") as stream:
    json.dump({"env": dict(os.environ), "pid": os.getpid()}, stream)
os.rename(sys.argv[2] + ".part", sys.argv[2])
if sys.argv[1] == "wait":
    time.sleep(600)
sys.exit(3)
"""
START = """
import sys
from pathlib import Path
from services.devstack import launch
launch.ROOT = Path(sys.argv[1])
sys.exit(launch.with_servers(sys.argv[2:]))
"""


@pytest.fixture
def environ() -> dict[str, str]:
    """The environment of a shell in which no server is named."""
    named = {*ROLE_OF_SETTING, "REDIS_URL", "SECRET_KEY"}
    return {name: value for name, value in os.environ.items() if name not in named}


def start(tmp_path: Path, environ: dict[str, str], *arguments: str) -> subprocess.Popen[bytes]:
    """A process that calls `with_servers` with the stand-in in place of manage.py."""
    (tmp_path / "manage.py").write_text(COMMAND)
    return subprocess.Popen(
        [sys.executable, "-c", START, str(tmp_path), *arguments],
        cwd=ROOT,
        env={**environ, "PYTHONPATH": str(ROOT)},
    )


def test_the_command_gets_servers_and_its_exit_code_comes_back(
    tmp_path: Path, environ: dict[str, str]
) -> None:
    """Every address and a secret key are set; code 3 comes back; directory and servers are gone."""
    written = tmp_path / "written"
    assert start(tmp_path, environ, "bench", str(written)).wait(timeout=60) == 3
    env = json.loads(written.read_text())["env"]
    assert len(env["SECRET_KEY"]) >= 50
    assert not Path(env["DEVSTACK_DIRECTORY"]).exists()
    assert not any(listens(env[name]) for name in (*ROLE_OF_SETTING, "REDIS_URL"))


@pytest.mark.parametrize("kill", [signal.SIGTERM, signal.SIGKILL])
def test_signals_reach_the_command(tmp_path: Path, environ: dict[str, str], kill: signal.Signals) -> None:
    """SIGTERM is handed on and the command's own code comes back; after SIGKILL servers end as well."""
    written = tmp_path / "written"
    process = start(tmp_path, environ, "wait", str(written))
    assert wait_until(written.exists, WAIT_S)
    told = json.loads(written.read_text())
    with cleaned(Path(told["env"]["DEVSTACK_DIRECTORY"])):
        process.send_signal(kill)
        assert process.wait(timeout=60) == (7 if kill is signal.SIGTERM else -signal.SIGKILL)
        assert wait_until(lambda: not any(listens(told["env"][name]) for name in ROLE_OF_SETTING), WAIT_S)
        assert wait_until(lambda: began(told["pid"]) is None, WAIT_S)


def test_the_demo_keeps_its_directory() -> None:
    """Only the plain demo stays in .run; a demo that checks itself once leaves nothing there."""
    with launch._directory(keep=True) as directory:
        assert directory == ROOT / ".run"
    with launch._directory(keep=False) as directory:
        assert directory.exists()
        assert directory != ROOT / ".run"
    assert not directory.exists()
