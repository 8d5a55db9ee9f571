"""Array type and compilation decorator shared by the numeric modules."""

from collections.abc import Callable
from typing import ParamSpec, TypeVar, cast

import numba
import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

P = ParamSpec("P")
R = TypeVar("R")


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """Compile to machine code on first call, cached beside the source file.

    The interpreted original stays reachable as ``.py_func`` and serves the tests as a second opinion.
    ``error_model="numpy"``: a division by zero gives inf instead of raising, so that no finite input raises.
    """
    return cast(Callable[P, R], numba.njit(cache=True, error_model="numpy")(function))
