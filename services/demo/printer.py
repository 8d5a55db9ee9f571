"""Lines for the person at the screen."""

from __future__ import annotations

import time
from collections.abc import Iterable
from textwrap import wrap
from typing import Any, Final

from services.demo.sheet import WIDTH

INDENT: Final = " " * 9


class Printer:
    """Writes at once, nothing wider than the paper."""

    def __init__(self, out: Any) -> None:
        self._out, self._began = out, time.monotonic()

    def lines(self, lines: Iterable[str]) -> None:
        for line in lines:
            self._out.write(line)
        self._out.flush()

    def step(self, text: str, *more: str) -> None:
        """One thing that was done, with the seconds since the start; `more` below it, each text wrapped."""
        first, *rest = wrap(text, WIDTH - len(INDENT))
        below = [line for one in more for line in wrap(one, WIDTH - len(INDENT))]
        self.lines([f"[{time.monotonic() - self._began:4.0f} s] {first}"])
        self.lines(f"{INDENT}{line}" for line in [*rest, *below])

    def title(self, text: str) -> None:
        self.lines(["", text.upper(), ""])
