"""docker-compose.yml and its image keep the promises that can be checked without an engine."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from services.celery import app as celery
from services.devstack.fleet import service_commands
from services.devstack.roles import ROLE_OF_SETTING

ROOT = Path(__file__).resolve().parent.parent.parent
TEXT = (ROOT / "docker-compose.yml").read_text()
COMPOSE: dict[str, Any] = yaml.safe_load(TEXT)
SERVICES: dict[str, dict[str, Any]] = COMPOSE["services"]
DOCKERFILE = (ROOT / "services" / "deploy" / "Dockerfile").read_text()
EXAMPLE = (ROOT / "services" / "deploy" / "compose.env.example").read_text()
SWEEP = "services.pipeline.tasks.sweep"
ONE_SHOT = {"migrate"}
# The addresses beside that of the application role, which every process has.
ALSO = {
    "migrate": {"DATABASE_OWNER_URL"},
    "relay": {"DATABASE_RELAY_URL"},
    "worker-low": {"DATABASE_RELAY_URL"},  # the sweep runs here
}
OURS = {"migrate", "web", "worker", "worker-low", "relay", "beat"}

each_service = pytest.mark.parametrize("name", SERVICES)


def test_every_part_of_the_service_is_there() -> None:
    """Nothing of the running system is left to be started by hand."""
    assert set(SERVICES) == OURS | {"postgres", "redis"}


@each_service
def test_a_service_is_watched_or_ends_by_itself(name: str) -> None:
    """A lasting service has a health check and restarts; a one-shot one does neither."""
    service = SERVICES[name]
    if name in ONE_SHOT:
        assert "healthcheck" not in service
        assert service["restart"] == "no"
    else:
        assert service["healthcheck"]["test"][0] in {"CMD", "CMD-SHELL"}
        assert service["restart"] == "unless-stopped"


@each_service
def test_a_service_has_no_more_rights_than_it_needs(name: str) -> None:
    """No root, no capability, nothing to gain by exec, a root file system that cannot be written."""
    service = SERVICES[name]
    assert service["user"].split(":")[0] not in {"", "0", "root"}
    assert service["cap_drop"] == ["ALL"]
    assert "no-new-privileges:true" in service["security_opt"]
    assert service["read_only"] is True
    assert not service.get("privileged")


@each_service
def test_what_a_service_mounts_exists(name: str) -> None:
    """A named volume is declared; a mounted file is in the tree and cannot be written."""
    for mount in SERVICES[name].get("volumes", []):
        source, _, rest = mount.partition(":")
        if source.startswith("."):
            assert (ROOT / source).is_file(), source
            assert rest.endswith(":ro")
        else:
            assert source in COMPOSE["volumes"]


def test_every_volume_is_used() -> None:
    """A volume that nobody mounts would promise data that nobody keeps."""
    used = {mount.split(":")[0] for service in SERVICES.values() for mount in service.get("volumes", [])}
    assert used >= set(COMPOSE["volumes"])


@pytest.mark.parametrize("name", sorted(OURS - ONE_SHOT))
def test_nothing_runs_before_the_migrations(name: str) -> None:
    """All parts wait for the one-shot migration, and that one for a healthy database."""
    assert SERVICES[name]["depends_on"]["migrate"] == {"condition": "service_completed_successfully"}
    assert SERVICES["migrate"]["depends_on"]["postgres"] == {"condition": "service_healthy"}


def test_each_process_has_the_database_roles_it_needs_and_no_other() -> None:
    """Only the migration is the owner; relay and sweep read beyond one organisation; all know the app role."""
    given = {name: {key for key in SERVICES[name]["environment"] if key in ROLE_OF_SETTING} for name in OURS}
    assert given == {name: {"DATABASE_URL"} | ALSO.get(name, set()) for name in OURS}
    for name in OURS:
        for setting in given[name]:
            assert f"//{ROLE_OF_SETTING[setting]}:" in SERVICES[name]["environment"][setting]


def queues(command: list[str]) -> set[str]:
    """What a worker listens to, as its command line says."""
    (found,) = [part.removeprefix("--queues=") for part in command if part.startswith("--queues=")]
    return set(found.split(","))


def test_each_queue_has_its_worker_and_the_sweep_runs_where_it_can() -> None:
    """No queue without a reader, none read by two kinds; the sweep's queue is read with the relay's address."""
    workers = {name: queues(SERVICES[name]["command"]) for name in OURS if "worker" in name}
    assert sorted(queue for found in workers.values() for queue in found) == ["low", "recompute"]
    (sweeper,) = [name for name, found in workers.items() if celery.conf.task_routes[SWEEP]["queue"] in found]
    assert "DATABASE_RELAY_URL" in SERVICES[sweeper]["environment"]


def test_the_processes_of_one_machine_get_what_they_get_here() -> None:
    """Demo and fault tests run with the addresses of the containers, so that a missing one is felt there."""
    for child in service_commands(8000, beat_schedule=Path("beat")):
        kept = ROLE_OF_SETTING.keys() - child.without
        parts = [name for name in OURS if name == child.name or name.startswith(f"{child.name}-")]
        assert parts
        assert kept == {
            key for name in parts for key in SERVICES[name]["environment"] if key in ROLE_OF_SETTING
        }


def test_no_secret_is_written_down_and_none_may_be_missing() -> None:
    """Each password and key comes from the environment file and stops the start when it is empty."""
    secret = re.compile(r"PASSWORD|SECRET_KEY")
    for name, service in SERVICES.items():
        for key, value in service["environment"].items():
            if secret.search(key) or "://" in str(value):
                assert re.search(r"\$\{\w+:\?", value), f"{name}: {key}"
    for variable in set(re.findall(r"\$\{(\w+)", TEXT)):
        required = f"${{{variable}:?" in TEXT
        assert not (secret.search(variable) and not required), variable
        pattern = rf"^{variable}=" if required else rf"^#{variable}="
        assert re.search(pattern, EXAMPLE, re.MULTILINE), f"{variable} is not in compose.env.example"
    assert not re.search(r"^\w*(PASSWORD|SECRET_KEY)\w*=\S", EXAMPLE, re.MULTILINE)


def test_queue_and_database_cannot_lose_messages_by_configuration() -> None:
    """The queue is kept on disk and never evicts; PostgreSQL is of a supported version."""
    command = " ".join(SERVICES["redis"]["entrypoint"])
    assert "--appendonly yes" in command
    assert "--maxmemory-policy noeviction" in command
    assert int(re.search(r"postgres:(\d+)", SERVICES["postgres"]["image"]).group(1)) >= 15  # type: ignore[union-attr]
    for name in ("worker", "worker-low"):
        assert SERVICES[name]["stop_grace_period"] == "150s"  # above the soft limit of a task, 120 s


def test_only_the_web_is_published_and_only_on_the_loopback() -> None:
    """Database and queue are reachable from the other containers alone."""
    published = {name: service["ports"] for name, service in SERVICES.items() if service.get("ports")}
    assert list(published) == ["web"]
    assert all(port.startswith("127.0.0.1:") for port in published["web"])
    assert COMPOSE["networks"]["inside"]["internal"] is True


def test_the_image_installs_the_lock_and_runs_as_an_ordinary_user() -> None:
    """Locked hashes, wheels only, an unprivileged user of the same number as in the compose file."""
    assert "--require-hashes --only-binary :all: -r /tmp/runtime.txt" in DOCKERFILE
    users = re.findall(r"^USER (\S+)$", DOCKERFILE, re.MULTILINE)
    assert users[-1] == SERVICES["web"]["user"] == "10001:10001"
    for source in re.findall(r"^COPY (?!--from)(.+) \S+$", DOCKERFILE, re.MULTILINE):
        assert all((ROOT / path).exists() for path in source.split()), source
