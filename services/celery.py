"""The Celery application: ids in JSON, late acknowledgement, no result backend.

What each setting guards against stands beside it. The durable truth is the change row: a message may be lost,
doubled or late without harm.
"""

import gc
import os

import structlog
from celery import Celery
from celery.schedules import crontab
from celery.signals import beat_init, setup_logging, task_postrun, task_prerun, worker_init, worker_ready
from django.conf import settings
from django.db import close_old_connections

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "services.settings.base")

app = Celery("dosewright")
app.conf.update(
    broker_url=settings.REDIS_URL,
    task_serializer="json",
    accept_content=["json"],
    task_ignore_result=True,
    timezone="UTC",
    # A killed worker's message comes back; one that fails is the change row's business, not the broker's.
    task_acks_late=True,
    task_reject_on_worker_lost=True,
    task_acks_on_failure_or_timeout=True,
    worker_prefetch_multiplier=1,
    task_time_limit=180,
    task_soft_time_limit=120,
    worker_max_tasks_per_child=5000,
    worker_max_memory_per_child=1_000_000,
    broker_connection_retry_on_startup=True,
    broker_connection_max_retries=None,
    worker_cancel_long_running_tasks_on_connection_loss=True,
    # Longer than the longest task, or a running one is started twice; the sweep is every 10 s.
    broker_transport_options={
        "visibility_timeout": settings.CELERY_VISIBILITY_TIMEOUT_S,
        "unacked_restore_interval": 10,
        "unacked_restore_throttle": 1,
        "socket_timeout": 5,
        "socket_connect_timeout": 2,
        "health_check_interval": 10,
        "retry_on_timeout": True,
    },
    task_routes={
        "services.pipeline.tasks.sweep": {"queue": "low"},
        "services.pipeline.tasks.refit": {"queue": "low"},
    },
    task_default_queue="recompute",
    worker_hijack_root_logger=False,
    # Left to itself Celery connects to the database anew for every task, which costs as much as the task does.
    CELERY_DB_REUSE_MAX=1_000_000,
    beat_schedule={
        # Missed runs are made up by "due since" queries; a stale message expires.
        "sweep": {
            "task": "services.pipeline.tasks.sweep",
            "schedule": crontab(minute="*/10"),
            "options": {"expires": 500},
        },
        # Once a night, when nobody waits; a missed night is made up by the next.
        "refit": {
            "task": "services.pipeline.tasks.refit",
            "schedule": crontab(hour="2", minute="40"),
            "options": {"expires": 3600},
        },
    },
)
app.autodiscover_tasks(["services.pipeline"])


@setup_logging.connect
def _keep_structlog(**kwargs: object) -> None:
    """Celery would install its own format; ours is set in the settings."""


@worker_init.connect
def _compile_before_forking(**kwargs: object) -> None:
    """Compile the kernels once in the parent, so that no task waits for it and the children share the code."""
    from services.pipeline.warm import warm_up

    structlog.get_logger(__name__).info("kernels_ready", seconds=warm_up())
    # What is loaded by now stays for good: no collection looks through it again, and no child copies its pages.
    gc.collect()
    gc.freeze()


@task_prerun.connect
@task_postrun.connect
def _keep_only_good_connections(**kwargs: object) -> None:
    """As between two requests: what is broken or older than CONN_MAX_AGE goes; the next use asks for its health."""
    close_old_connections()


@worker_ready.connect
def _say_that_tasks_are_taken(**kwargs: object) -> None:
    """Whoever started the worker waits for this line; Celery's own goes through a logger that is not ours."""
    structlog.get_logger(__name__).info("worker_ready")


@beat_init.connect
def _say_that_time_is_kept(**kwargs: object) -> None:
    structlog.get_logger(__name__).info("beat_ready")
