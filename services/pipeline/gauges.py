"""What waits, is late or hangs, over all organisations: read from the database whenever somebody asks."""

from collections.abc import Iterator

from django.db import connections
from prometheus_client import Metric
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.registry import Collector

from services.changes.relay import RELAY_DB

_STATE = """
SELECT count(*) FILTER (WHERE parked_at IS NULL), count(*) FILTER (WHERE parked_at IS NOT NULL),
       coalesce(extract(epoch FROM clock_timestamp() - min(due_at) FILTER (WHERE parked_at IS NULL)), 0)
FROM changes_change WHERE version > done
"""


class ChangeGauges(Collector):
    """Numbers without names of anybody. For the process that has the relay's role; each scrape has a thread."""

    def collect(self) -> Iterator[Metric]:
        try:
            with connections[RELAY_DB].cursor() as cursor:
                cursor.execute(_STATE)
                waiting, parked, late_s = cursor.fetchone()
        finally:
            connections[RELAY_DB].close()
        yield GaugeMetricFamily("dosewright_changes_waiting", "Changes not recomputed yet", waiting)
        yield GaugeMetricFamily("dosewright_changes_parked", "Changes set aside after too many tries", parked)
        overdue = "Seconds by which the oldest due change is late"
        yield GaugeMetricFamily("dosewright_changes_overdue_seconds", overdue, max(0.0, float(late_s)))

    def describe(self) -> list[Metric]:
        """Known without a database, so that registering asks for none."""
        return []
