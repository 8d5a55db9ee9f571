"""`manage.py relay`: the process that publishes due changes; `--check` says whether one is alive."""

import signal
import sys
import tempfile
import time
from importlib import import_module
from pathlib import Path
from typing import Any

import psycopg
import structlog
from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser
from django.db import Error as DatabaseError
from django.db import connections
from kombu.exceptions import OperationalError
from prometheus_client import REGISTRY, start_http_server

from services.changes.actions import CHANNEL
from services.changes.relay import RELAY_DB, Due, relay_once, seconds_until_due, take_lead
from services.pipeline.gauges import ChangeGauges
from services.pipeline.tasks import recompute

log = structlog.get_logger(__name__)

POLL_S = 1.0  # also how long a SIGTERM may wait for an idle relay
BEAT_FILE = Path(tempfile.gettempdir()) / "dosewright-relay-beat"
BEAT_FRESH_S = 30.0
EXPIRE_LEASES = 5


def publish(due: Due) -> None:
    """Hand one change to the broker; no retry here, the relay's own loop is the retry.

    The message of a worker that was away is worth nothing once its lease is long over: the change has gone out
    again by then. Several leases, so that clocks which differ by a minute throw away nothing that counts.
    """
    recompute.apply_async(
        args=[str(due.org_id), str(due.change_id)],
        queue="low" if due.may_wait else "recompute",
        expires=EXPIRE_LEASES * max(settings.CHANGE_LEASE_S, 1.0),
        retry=False,
    )


class Command(BaseCommand):
    help = "Publish due changes to the workers."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--check", action="store_true", help="exit 0 when a relay has beaten lately")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["check"]:
            sys.exit(0 if _beats() else 1)
        # Knows the address of the broker; without it a shared task goes to a default that nobody reads.
        import_module("services.celery")
        if settings.RELAY_METRICS_PORT:
            REGISTRY.register(ChangeGauges())
            start_http_server(settings.RELAY_METRICS_PORT)
        self.stopping = False
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, self._stop)
        while not self.stopping:
            try:
                self._run()
            except (DatabaseError, psycopg.Error) as error:
                log.warning("relay_database_lost", error=str(error))
                connections[RELAY_DB].close()
                time.sleep(1.0)

    def _stop(self, *_: Any) -> None:
        self.stopping = True

    def _run(self) -> None:
        """Lead, listen, and relay until told to stop or the connection is lost."""
        while not self.stopping and not take_lead():
            BEAT_FILE.touch()
            time.sleep(1.0)
        connection = connections[RELAY_DB]
        with connection.cursor() as cursor:
            cursor.execute(f"LISTEN {CHANNEL}")
        log.info("relay_leads", in_flight=settings.CHANGE_IN_FLIGHT, lease_s=settings.CHANGE_LEASE_S)
        while not self.stopping:
            BEAT_FILE.touch()
            if not self._relay():
                self._wait(connection.connection)

    def _relay(self) -> int:
        try:
            return relay_once(publish)
        except (OperationalError, OSError) as error:
            log.warning("broker_unreachable", error=str(error))
            time.sleep(1.0)
            return 0

    def _wait(self, raw: psycopg.Connection) -> None:
        """Until a notification, the next due time, or the poll interval."""
        due_s = seconds_until_due()
        timeout = POLL_S if due_s is None else min(POLL_S, max(0.02, due_s))
        for _ in raw.notifies(timeout=timeout, stop_after=1):
            pass


def _beats() -> bool:
    return BEAT_FILE.exists() and time.time() - BEAT_FILE.stat().st_mtime < BEAT_FRESH_S
