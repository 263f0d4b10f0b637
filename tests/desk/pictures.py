"""What tests read out of a grabbed picture."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QWidget


def pixels(widget: QWidget) -> NDArray[np.uint8]:
    """The widget as rows × columns × (red, green, blue)."""
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    flat = np.frombuffer(image.constBits(), dtype=np.uint8)
    rows = flat.reshape(image.height(), image.bytesPerLine())
    return rows[:, : image.width() * 3].reshape(image.height(), image.width(), 3).copy()


def grey(picture: NDArray[np.uint8]) -> NDArray[np.float64]:
    """The picture as a black and white print shows it."""
    weights = np.array([0.2126, 0.7152, 0.0722])
    made: NDArray[np.float64] = picture @ weights
    return made


def share_changed(before: NDArray[np.float64], after: NDArray[np.float64], by: float = 12.0) -> float:
    """The share of pixels that differ by more than `by` grey levels."""
    return float(np.mean(np.abs(before - after) > by))


def holds_colour(picture: NDArray[np.uint8], colour: str, within: int = 3) -> bool:
    """Whether some pixel has a colour."""
    wanted = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)])
    return bool(np.any(np.all(np.abs(picture.astype(int) - wanted) <= within, axis=2)))
