"""Array type and compilation decorator shared by the numeric modules."""

import hashlib
from collections.abc import Callable, Sequence
from itertools import chain
from typing import Any, ParamSpec, TypeVar, cast

import numba
import numpy as np
from numba.core import types
from numba.core.registry import CPUDispatcher
from numba.extending import lower_builtin, type_callable
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

P = ParamSpec("P")
R = TypeVar("R")


def table(rows: Sequence[tuple[float | None, ...]], columns: int) -> FloatArray:
    """The columns (columns, M) of rows of numbers, in half of the time that `np.array` takes; None becomes NaN."""
    size = len(rows)
    numbers = np.fromiter(chain.from_iterable(rows), np.float64, size * columns)
    return np.ascontiguousarray(numbers.reshape(size, columns).T)


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """Compile to machine code on first call, cached beside the source file or in NUMBA_CACHE_DIR.

    The interpreted original stays reachable as ``.py_func`` and serves the tests as a second opinion.
    ``error_model="numpy"``: a division by zero gives inf instead of raising, so that no finite input raises.

    numba compiles callees and constants of other modules into the caller but watches the caller's file alone: a
    cache kept over an upgrade would go on computing with the old ones. So the stamp of the cached code also
    covers what the module has imported: compiled functions by their own stamps, numbers and arrays by value,
    named tuples by their fields.
    """
    return _stamped(function, numba.njit(cache=True, error_model="numpy")(function))


def inlined(function: Callable[P, R]) -> Callable[P, R]:
    """As `compiled`, and put into its callers: for what is called in the innermost loops and allocates nothing.

    A call that hands over arrays counts the references to them, which costs more than such a function's work.
    """
    return _stamped(function, numba.njit(cache=True, error_model="numpy", forceinline=True)(function))


def borrowed(array: FloatArray) -> FloatArray:
    """The same array, without counting references to it: for a compiled function that hands its arguments on to
    others many times, since the counting costs more than their work.

    Only of what the caller holds on to until the function is done: of its arguments, never of what it made itself.
    """
    return array


@type_callable(borrowed)
def _type_of_borrowed(_context: Any) -> Any:
    def typed(array: Any) -> Any:
        return array

    return typed


@lower_builtin(borrowed, types.Array)
def _lower_borrowed(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
    (array,) = signature.args
    view = context.make_array(array)(context, builder, value=arguments[0])
    view.meminfo = context.get_constant_null(types.MemInfoPointer(types.voidptr))
    return view._getvalue()


def _stamped(function: Callable[P, R], dispatcher: object) -> Callable[P, R]:
    if isinstance(dispatcher, CPUDispatcher):  # a plain function where NUMBA_DISABLE_JIT is set
        stamp = hashlib.sha256(_stamp(dispatcher))
        for name, value in sorted(function.__globals__.items()):
            stamp.update(name.encode() + _trace(value))
        # numba offers no public way to add to the stamp; a test shows that this one still works.
        _cache_file(dispatcher)._source_stamp = stamp.digest()
    return cast(Callable[P, R], dispatcher)


def _cache_file(dispatcher: Any) -> Any:
    return dispatcher._cache._cache_file


def _stamp(dispatcher: Any) -> bytes:
    return bytes(_cache_file(dispatcher)._source_stamp)


def _trace(value: object) -> bytes:
    """What is compiled in of a module's global, as bytes; nothing of what cannot be."""
    if isinstance(value, CPUDispatcher):
        return _stamp(value)
    if isinstance(value, np.ndarray):
        return value.tobytes()
    if isinstance(value, type) and issubclass(value, tuple):
        return repr(getattr(value, "_fields", ())).encode()
    return repr(value).encode() if isinstance(value, bool | int | float) else b""
