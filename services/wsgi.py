"""The web's application, compiled before it can be served.

Overrides and reach checks compute inside the request. The server loads this module once in the parent and forks
afterwards (gunicorn --preload), and listens to nobody before that: who gets an answer waits for no compiler, and
the children share the code.
"""

import gc
import os

import structlog
from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "services.settings.base")

application = get_wsgi_application()

from services.pipeline.warm import warm_up  # noqa: E402  # reads models: only after the apps are set up

structlog.get_logger(__name__).info("kernels_ready", seconds=warm_up())
# As in the workers: no collection looks through what stays for good, and no child copies its pages.
gc.collect()
gc.freeze()
