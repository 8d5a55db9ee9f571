"""What a chart of ours shows, read from its SVG."""

from __future__ import annotations

import re
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"


def marks(svg: str) -> dict[str, int]:
    """How many marks there are of each kind."""
    found: dict[str, int] = {}
    for group in ElementTree.fromstring(svg).iter(f"{SVG}g"):
        name = re.match(r"mark-(\w+) role-mark", group.get("class", ""))
        if name:
            found[name[1]] = found.get(name[1], 0) + len(list(group))
    return found


def words(svg: str) -> list[str]:
    """Line by line."""
    root = ElementTree.fromstring(svg)
    return [text.text or "" for kind in ("text", "tspan") for text in root.iter(f"{SVG}{kind}")]


def stands_alone(svg: str) -> None:
    """No script, no style sheet, nothing from elsewhere; ink and grey alone, so that it prints."""
    assert not re.search(r"<script|<style|<image|<foreignObject|xlink:href|url\(http", svg)
    assert set(re.findall(r'https?://[^"]+', svg)) <= {
        "http://www.w3.org/2000/svg",
        "http://www.w3.org/1999/xlink",
    }
    for colour in re.findall(r'"#([0-9a-f]{6})"', svg):
        parts = [int(colour[at : at + 2], 16) for at in (0, 2, 4)]
        assert max(parts) - min(parts) < 16, colour
