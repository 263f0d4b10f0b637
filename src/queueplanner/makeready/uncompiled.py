"""The plain twin of a compiled function, so that work can begin while the compiler is still busy."""

from __future__ import annotations

from collections.abc import Callable
from types import FunctionType
from typing import Any, TypeVar, cast

_F = TypeVar("_F", bound=Callable[..., Any])
_twins: dict[Any, Callable[..., Any]] = {}


def plain(function: _F) -> _F:
    """The same function as plain Python, and plain all that it calls; a plain function comes back as it is."""
    source = getattr(function, "py_func", None)
    if source is None:
        return function
    if function not in _twins:
        names = dict(source.__globals__)
        twin = FunctionType(source.__code__, names, source.__name__, source.__defaults__, source.__closure__)
        _twins[function] = twin
        for name in source.__code__.co_names:
            if hasattr(names.get(name), "py_func"):
                names[name] = plain(names[name])
    return cast("_F", _twins[function])
