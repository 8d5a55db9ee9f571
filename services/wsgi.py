"""The web's application, compiled before it can be served.

Overrides and reach checks compute inside the request. The server loads this module once in the parent and forks
afterwards (gunicorn --preload), and listens to nobody before that: who gets an answer waits for no compiler, and
the children share the code.
"""

import gc
import os

import structlog
from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "services.settings.base")

_django = get_wsgi_application()

# Only after the apps are set up.
from services.api.chunked import with_chunked_bodies  # noqa: E402
from services.pipeline.warm import warm_up  # noqa: E402

application = with_chunked_bodies(_django)

structlog.get_logger(__name__).info("kernels_ready", seconds=warm_up())
# Every view with it: what the first request would import stays for good too.
get_resolver().url_patterns  # noqa: B018
# As in the workers: no collection looks through what stays for good, and no child copies its pages.
gc.collect()
gc.freeze()
