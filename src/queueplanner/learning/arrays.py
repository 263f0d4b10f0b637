"""Rows of numbers, as this room passes them on."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

Floats: TypeAlias = npt.NDArray[np.float64]
Ints: TypeAlias = npt.NDArray[np.int64]
Bools: TypeAlias = npt.NDArray[np.bool_]


def floats(values: Any) -> Floats:
    """An array of doubles of anything numpy can read as one."""
    return np.asarray(values, dtype=np.float64)
