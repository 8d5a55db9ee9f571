"""The cache of compiled code follows what was compiled in; borrowed arrays are those that were lent."""

import os
import runpy
import subprocess
import sys
from pathlib import Path

import numba
import numpy as np
import pytest

from programming.calc.arrays import FloatArray, borrowed, compiled

ROOT = Path(__file__).parents[3]
CALLER = """
from callee import FACTOR, inner
from programming.calc.arrays import compiled

@compiled
def outer(x: float) -> float:
    return FACTOR * inner(x)

if __name__ == "__main__":
    print(outer(1.0), sum(outer.stats.cache_hits.values()))
"""
CALLEE = """
from programming.calc.arrays import compiled
FACTOR = {factor}

@compiled
def inner(x: float) -> float:
    return x + {added}
"""


def run(folder: Path) -> tuple[float, int]:
    """(result, compiled versions taken from the cache) of modules that are read afresh, in this process."""
    sys.modules.pop("callee", None)
    names = runpy.run_path(str(folder / "caller.py"), run_name="caller")
    outer = names["outer"]
    return outer(1.0), sum(outer.stats.cache_hits.values())


def run_elsewhere(folder: Path) -> tuple[float, int]:
    """The same of a fresh process."""
    environment = {**os.environ, "PYTHONPATH": f"{folder}:{ROOT}", "NUMBA_CACHE_DIR": str(folder / "cache")}
    command = [sys.executable, "-c", "import runpy; runpy.run_module('caller', run_name='__main__')"]
    done = subprocess.run(command, env=environment, cwd=folder, capture_output=True, text=True, check=True)
    result, hits = done.stdout.split()
    return float(result), int(hits)


def test_a_changed_callee_or_constant_is_compiled_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Unchanged code comes from the cache; a callee or constant changed in another file is not missed."""
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.setattr(numba.config, "CACHE_DIR", str(tmp_path / "cache"))
    monkeypatch.setattr(sys, "dont_write_bytecode", True)  # the files change faster than their times tell
    (tmp_path / "caller.py").write_text(CALLER)
    callee = tmp_path / "callee.py"
    callee.write_text(CALLEE.format(factor=2.0, added=1.0))
    assert run(tmp_path) == (4.0, 0)
    assert run(tmp_path) == run_elsewhere(tmp_path) == (4.0, 1)

    callee.write_text(CALLEE.format(factor=2.0, added=9.0))
    assert run(tmp_path) == (20.0, 0)

    callee.write_text(CALLEE.format(factor=7.0, added=9.0))
    assert run(tmp_path) == (70.0, 0)
    sys.modules.pop("callee")


@compiled
def _grown(array: FloatArray, by: float) -> FloatArray:
    view = borrowed(array)
    view[0] += by
    return view[1:].copy()


def test_what_is_borrowed_is_the_same_array_and_its_owner_keeps_it() -> None:
    """Written through, compiled and interpreted alike, and no reference is lost or left over by it."""
    array = np.arange(4.0)
    before = sys.getrefcount(array)
    for _ in range(100):
        assert _grown(array, 1.0).tolist() == [1.0, 2.0, 3.0]
    assert sys.getrefcount(array) == before
    assert array.tolist() == [100.0, 1.0, 2.0, 3.0]
    _grown.py_func(array, 1.0)  # type: ignore[attr-defined]
    assert array[0] == 101.0
