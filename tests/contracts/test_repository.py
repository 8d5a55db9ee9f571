"""The tree itself: what may lie where, what no file may hold, how long a file may be."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
APPS = ("programming", "athletes", "scoring")
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "manage.py",
    "docker-compose.yml",
    "Makefile",
    "LICENSE",
    "services",
    "programming",
    "athletes",
    "scoring",
    "tests",
}
SOURCE_LINES = 500
TEST_LINES = 400


def tracked() -> list[Path]:
    """All files that git tracks, as paths relative to the top of the tree."""
    listing = subprocess.run(
        # A clone made by another account is read here, nothing in it is run.
        ["git", "-c", f"safe.directory={ROOT}", "ls-files", "-z"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    paths = [Path(name) for name in listing.split("\0") if name]
    assert paths, "git tracks nothing: not a clone?"
    # Renamed or removed a moment ago and not committed yet: nothing to read.
    return [path for path in paths if (ROOT / path).is_file()]


def offences(pattern: re.Pattern[str]) -> list[str]:
    """Lines of tracked text files that the pattern hits, as file:line: text."""
    found = []
    for path in tracked():
        try:
            lines = (ROOT / path).read_text(encoding="utf-8").splitlines()
        except UnicodeDecodeError:
            continue
        found += [
            f"{path}:{number}: {line.strip()[:120]}"
            for number, line in enumerate(lines, 1)
            if pattern.search(line)
        ]
    return found


def joined(*parts: str) -> str:
    """A pattern put together from parts, so that this file does not hit itself."""
    return "".join(parts)


FORBIDDEN = {
    "an option that names a package index": joined(
        r"(?<!no-emit-)index", r"-url|extra", r"-index|find", r"-links|trusted", r"-host"
    ),
    "the host of a package registry": joined(
        r"python", r"hosted\.org|pypi", r"\.org|registry\.npm", r"js|crates", r"\.io|proxy\.golang",
        r"|deb\.debian", r"\.org|gh", r"cr\.io|quay", r"\.io",
    ),
    "a download address in a lock file": joined(r'"resolved"', r':\s*"http|uv\.', r"lock|py", r"lock\.toml"),
    "a path of one machine": joined(
        r"/wo", r"rk/|(?<![\w.$}~#])/(?:root", r"/|home", r"/\w|Users", r"/\w|tmp/bri", r"ef)"
    ),
}  # fmt: skip


@pytest.mark.parametrize("kind", FORBIDDEN)
def test_no_tracked_file_names(kind: str) -> None:
    """The project stands alone: it builds from any index, on any machine, from any directory."""
    assert offences(re.compile(FORBIDDEN[kind])) == []


@pytest.mark.parametrize(
    ("kind", "line"),
    [
        ("an option that names a package index", joined("--index", "-url=x")),
        ("the host of a package registry", joined("files.python", "hosted.org")),
        ("a download address in a lock file", joined('"resolved"', ': "https://x"')),
        ("a path of one machine", joined('open("/wor', 'k/main/x")')),
        ("a path of one machine", joined('"/blocks/0/wor', 'k/1"')),
        ("a path of one machine", joined("cd /ro", "ot/x")),
    ],
)
def test_the_patterns_see_what_they_look_for(kind: str, line: str) -> None:
    """Each pattern hits a plain example of what it forbids."""
    assert re.search(FORBIDDEN[kind], line)


def test_the_option_that_keeps_an_index_out_is_allowed() -> None:
    """The lock command says that no index may be written; that is no offence."""
    pattern = FORBIDDEN["an option that names a package index"]
    assert not re.search(pattern, joined("--no-emit-index", "-url"))


def test_the_top_level_is_fixed() -> None:
    """Nothing lies at the top but the fixed names and dot-files."""
    names = {path.parts[0] for path in tracked()}
    assert {name for name in names if not name.startswith(".")} - TOP_LEVEL == set()


def test_no_file_is_too_long() -> None:
    """A source file has at most 500 lines, a test file at most 400; migrations are generated."""
    long = {}
    for path in tracked():
        if path.suffix != ".py" or "migrations" in path.parts:
            continue
        count = len((ROOT / path).read_text().splitlines())
        if count > (TEST_LINES if path.parts[0] == "tests" else SOURCE_LINES):
            long[str(path)] = count
    assert long == {}


def test_package_markers_are_empty() -> None:
    """Importing a module must not run anything in the packages above it.

    A models package alone lists its modules: that is where Django looks for them.
    """
    markers = [path for path in tracked() if path.name == "__init__.py" and path.parent.name != "models"]
    assert [str(path) for path in markers if (ROOT / path).read_text().strip()] == []


def calc_modules() -> list[str]:
    """All modules of the pure core, by name."""
    return [
        ".".join(path.with_suffix("").parts)
        for path in tracked()
        if len(path.parts) > 2 and path.parts[0] in APPS and path.parts[1] == "calc" and path.suffix == ".py"
    ]


def test_the_pure_core_loads_without_django() -> None:
    """Importing each module of every calc package loads neither Django nor any other I/O."""
    modules = calc_modules()
    assert {name.split(".")[0] for name in modules} == set(APPS)
    program = (
        "import importlib, sys\n"
        "for name in sys.argv[1:]:\n"
        "    importlib.import_module(name)\n"
        "    loaded = {'django', 'rest_framework', 'celery', 'psycopg', 'redis'} & set(sys.modules)\n"
        "    assert not loaded, f'{name} loads {loaded}'\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, *modules], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def test_locks_pin_every_package_by_hash() -> None:
    """Every requirement of every lock file has an exact version and at least one hash."""
    locks = [path for path in tracked() if path.parent == Path("services/deploy") and path.suffix == ".txt"]
    assert {path.stem for path in locks} == {"runtime", "demo", "test", "tools"}
    for path in locks:
        blocks = re.split(r"\n(?=\S)", (ROOT / path).read_text().strip())
        assert blocks
        for block in blocks:
            assert re.match(r"[a-z0-9-]+(\[[a-z0-9,-]+\])?==[^\s\\]+", block), f"{path}: {block[:60]}"
            assert "--hash=sha256:" in block, f"{path}: {block[:60]}"


def test_the_locks_agree() -> None:
    """What runs in production is what the demo and the tests run: same names, same versions."""
    versions = {}
    for name in ("runtime", "demo", "test"):
        text = (ROOT / "services" / "deploy" / f"{name}.txt").read_text()
        versions[name] = dict(re.findall(r"^([a-z0-9-]+)(?:\[[^]]*\])?==([^\s\\]+)", text, re.MULTILINE))
    assert versions["runtime"].items() <= versions["demo"].items() <= versions["test"].items()
