"""The web compiles before it listens: no override and no reach check waits for a compiler inside its request."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import yaml

from services.devstack.fleet import service_commands

ROOT = Path(__file__).resolve().parent.parent.parent.parent
COMPOSE: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())["services"]

# In a process of its own: whatever other tests have called is compiled in this one.
SCRIPT = """
import json, sys
import services.wsgi
from numba.core.registry import CPUDispatcher

def compiled():
    return {
        f"{name}.{key}": len(value.signatures)
        for name, module in list(sys.modules.items())
        if name.partition(".")[0] in ("programming", "athletes", "scoring")
        for key, value in vars(module).items()
        if isinstance(value, CPUDispatcher) and value.__module__ == name
    }

before, imported = compiled(), set(sys.modules)
from django.urls import get_resolver

get_resolver().url_patterns
views = sorted(set(sys.modules) - imported)
from dataclasses import replace

from athletes.calc.capacity import estimate_capacity
from athletes.calc.critical import estimate_critical
from athletes.calc.hold import estimate_hold
from programming.calc.revision import Condition
from scoring.basis import figures
from scoring.working_out import Known, work_out
from tests.scoring.test_candidates import ACCOMPANIED, plan

ESTIMATES = {"load_repetition": estimate_capacity, "hold": estimate_hold, "cyclical": estimate_critical}
UNITS = {"load_repetition": "repetitions", "hold": "hold_s", "cyclical": "energy_kcal"}
KIT = {"bike": {}, "bar_floor": {}, "rings": {}, "bench": {}}
for pair in (("plank", "horizontal_row"), ("push_up", "bike"), ("plank", "bike")):
    session = plan(*pair, items=KIT)
    entries = {item.key: session.movement(item.key) for item in session.block.work}
    work = tuple(replace(one, unit=UNITS[entries[one.key].capacity_kind]) for one in session.block.work)
    aim = replace(session.block.aim, conditions=(Condition("time", None, 60.0, 600.0),))
    session = replace(session, doc=replace(session.doc, blocks=(replace(session.block, work=work, aim=aim),)))
    states = {
        one.id: ESTIMATES[one.capacity_kind](one.prior.at(80.0), (), day=session.local_date.toordinal())
        for one in entries.values()
    }
    for scenarios in (256, 1024):
        worked = work_out(session, ACCOMPANIED, Known(states, scenarios=scenarios))
        assert all(one.forecast is not None or one.reasons for one in worked.results.values())
        figures(session, worked, states)
later = {name: count for name, count in compiled().items() if count != before.get(name, 0)}
print(json.dumps({"warm": sum(before.values()), "later": later, "views": views}))
"""


def test_after_its_import_holds_machines_and_reach_checks_compile_nothing() -> None:
    """The module that the server loads has compiled all that a request may ask for, and imported every view."""
    env = {**os.environ, "PYTHONPATH": str(ROOT), "DJANGO_SETTINGS_MODULE": "services.settings.test"}
    ran = subprocess.run([sys.executable, "-c", SCRIPT], cwd=ROOT, env=env, capture_output=True, text=True)
    assert ran.returncode == 0, ran.stderr
    found = json.loads(ran.stdout.splitlines()[-1])
    assert found["warm"] > 0
    assert found["later"] == {}
    assert found["views"] == []


def test_the_server_loads_the_application_before_it_forks_and_listens() -> None:
    """Here and in the containers; so nothing answers, /readyz neither, before the kernels are there."""
    (web,) = [child for child in service_commands(8000) if child.name == "web"]
    for command in (web.command, COMPOSE["web"]["command"]):
        assert "services.wsgi:application" in command
        assert "--preload" in command


def test_web_and_workers_share_what_is_compiled() -> None:
    """One directory on one volume: whoever comes second compiles nothing."""
    for name in ("web", "worker", "worker-low"):
        folder = COMPOSE[name]["environment"]["NUMBA_CACHE_DIR"]
        assert folder == COMPOSE["worker"]["environment"]["NUMBA_CACHE_DIR"]
        assert f"kernel-cache:{folder}" in COMPOSE[name]["volumes"]
