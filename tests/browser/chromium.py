"""A real browser for the tests: Debian's Chromium, found or installed, and a server that it talks to.

A browser that is missing fails the test with what to do; nothing is skipped, since nobody would see it.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler
from django.core.wsgi import get_wsgi_application
from playwright.sync_api import Browser, BrowserContext, Locator, Page, Request, expect, sync_playwright

NAMES = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
FLAGS = [
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
]
WHAT_TO_DO = (
    "The browser tests need Chromium: `apt-get install chromium` on Debian, or any browser of this family."
)
INSTALL_S = 600
PATIENCE_MS = 60_000

# A page that was clicked for may be a moment away: what is held of it is waited for, never asked once.
expect.set_options(timeout=PATIENCE_MS)


def found() -> str | None:
    return next((path for name in NAMES if (path := shutil.which(name)) is not None), None)


@cache
def program() -> str:
    """Where Chromium is; installed where root may do that. Fails the test with what to do where there is none."""
    path = found()
    if path is None and os.geteuid() == 0 and shutil.which("apt-get"):
        _install()
        path = found()
    if path is None:
        pytest.fail(WHAT_TO_DO)
    return path


def _install() -> None:
    environ = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (["update", "-qq"], ["install", "-y", "-qq", "--no-install-recommends", "chromium"]):
        done = subprocess.run(
            ["apt-get", *command], env=environ, timeout=INSTALL_S, capture_output=True, text=True, check=False
        )
        if done.returncode:
            pytest.fail(f"{WHAT_TO_DO} apt-get {command[0]} failed:\n{done.stderr[-1000:]}")


class _Quiet(WSGIRequestHandler):
    def log_message(self, *args: Any) -> None:
        """A test prints no access log."""


@contextmanager
def served() -> Iterator[str]:
    """The service on a free port of this machine, in threads; yields its address. Sees what is committed."""
    server = ThreadedWSGIServer(("127.0.0.1", 0), _Quiet)
    server.set_app(get_wsgi_application())
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join(10)
        server.server_close()


@contextmanager
def launched() -> Iterator[Browser]:
    """While it is open, this thread may not ask the database: its event loop runs here."""
    with sync_playwright() as tools:
        chromium = tools.chromium.launch(executable_path=program(), args=FLAGS)
        try:
            yield chromium
        finally:
            chromium.close()


@dataclass
class Tab:
    """A page of a context of its own, that notes what must not be."""

    page: Page
    base: str
    faults: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page.on("request", self._asked)
        self.page.on("console", lambda line: self.faults.append(line.text) if line.type == "error" else None)
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))

    def _asked(self, request: Request) -> None:
        if not request.url.startswith(self.base):
            self.faults.append(f"asked another server: {request.url}")

    def fits(self) -> None:
        """Nothing of the page, once it is there, lies to the right of the window."""
        self.page.wait_for_load_state()
        width, window = self.page.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
        assert width <= window, f"{self.page.url} is {width} px wide in a window of {window}"

    def looked_over(self) -> None:
        """Whole, within the window, and readable for everybody."""
        self.fits()
        self.reads_well()

    def reads_well(self) -> None:
        """No violation of the accessibility rules that axe knows; no error, no other server."""
        self.page.wait_for_load_state()
        found = Axe().run(self.page)
        assert found.violations_count == 0, f"{self.page.url}\n{found.generate_report()}"
        assert self.faults == []


def is_drawn(picture: Locator) -> None:
    """The picture came and can be shown."""
    picture.scroll_into_view_if_needed()
    picture.evaluate("one => one.decode()")
    assert picture.evaluate("one => one.naturalWidth") > 0


@contextmanager
def tab(chromium: Browser, base: str, width: int) -> Iterator[Tab]:
    context: BrowserContext = chromium.new_context(viewport={"width": width, "height": 800})
    context.set_default_timeout(PATIENCE_MS)
    try:
        yield Tab(context.new_page(), base)
    finally:
        context.close()
