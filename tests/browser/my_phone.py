"""A telephone for the tests of an athlete's own pages: connections that are lost, and what reached the service."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, TypeVar

from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler
from django.core.wsgi import get_wsgi_application
from django.db import connections
from playwright.sync_api import Browser, BrowserContext, Page

from tests.services.console.browse import browser as signed_in
from tests.support.cast import Member

SMALL: Any = {"width": 360, "height": 740}
Found = TypeVar("Found")


class Quiet(WSGIRequestHandler):
    def log_message(self, *args: Any) -> None:
        """A test prints no access log."""


@dataclass
class Site:
    """The service at an address; `asked` are the requests that reached it. While `loses` is above 0, so many POSTs
    are carried out and their answers lost on the way. Requests of the method `hangs` wait for `goes_on`.
    """

    url: str = ""
    asked: list[tuple[str, str]] = field(default_factory=list)
    loses: int = 0
    hangs: str = ""
    goes_on: threading.Event = field(default_factory=threading.Event)

    def posts(self, end: str) -> int:
        return sum(method == "POST" and path.endswith(end) for method, path in self.asked)


@contextmanager
def serving() -> Iterator[Site]:
    """In threads of this process, on what the test has committed."""
    site, application = Site(), get_wsgi_application()

    def counted(environ: dict[str, Any], start: Any) -> Any:
        site.asked.append((environ["REQUEST_METHOD"], environ["PATH_INFO"]))
        if environ["REQUEST_METHOD"] == site.hangs:
            site.goes_on.wait(60)
        lost = site.loses > 0 and environ["REQUEST_METHOD"] == "POST"
        if not lost:
            return application(environ, start)
        site.loses -= 1
        answer = application(environ, lambda status, headers, exc_info=None: None)
        answer.close()
        start("503 Service Unavailable", [("Content-Length", "0")])
        return [b""]

    server = ThreadedWSGIServer(("127.0.0.1", 0), Quiet)
    server.set_app(counted)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    site.url = f"http://127.0.0.1:{server.server_port}"
    try:
        yield site
    finally:
        server.shutdown()
        thread.join(10)
        server.server_close()


def stored(read: Callable[[], Found]) -> Found:
    """What the database holds, read in a thread of its own: the browser's event loop runs in this one."""

    def inside() -> Found:
        try:
            return read()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(1) as pool:
        return pool.submit(inside).result()


def phone(chromium: Browser, site: Site, member: Member | None = None) -> BrowserContext:
    """A telephone of its own, signed in as the member."""
    context = chromium.new_context(base_url=site.url, viewport=SMALL, has_touch=True, locale="en-GB")
    context.set_default_timeout(30_000)
    if member is not None:
        sign_in(context, site, member)
    return context


def sign_in(context: BrowserContext, site: Site, member: Member) -> None:
    value = signed_in(member).cookies[settings.SESSION_COOKIE_NAME].value
    context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": value, "url": site.url}])


def reads_well(page: Page) -> None:
    """Nothing against the accessibility rules that axe knows, and nothing to the right of the window."""
    found = Axe().run(page)
    assert found.violations_count == 0, f"{page.url}\n{found.generate_report()}"
    width, window = page.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
    assert width <= window, f"{page.url} is {width} px wide in a window of {window}"


def is_kept(page: Page) -> None:
    """Wait until the page's worker has kept it for when there is no connection; loaded once more by it."""
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    waits_until_kept(page)


def waits_until_kept(page: Page) -> None:
    """Whoever has loaded it."""
    waits_for(page, "caches.match(location.origin + location.pathname).then((found) => found !== undefined)")


def waits_for(page: Page, promised: str) -> None:
    """Until what the script promises is true. Not wait_for_function, which takes the promise itself for a yes."""
    for _ in range(100):
        if page.evaluate(promised):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"{page.url}: not so after ten seconds: {promised}")
