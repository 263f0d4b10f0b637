"""Which place of the run order a point of the timeline means, and where a place's gap lies."""

from __future__ import annotations

import numpy as np

from queueplanner.desk.picture import Picture


def place_at(picture: Picture, own: int, moment: float) -> int:
    """The place, counted from 0, of a pass dropped at a moment: behind every other pass of which half lies before."""
    middles = np.delete((picture.moments[:, 0] + picture.moments[:, 2]) / 2, own)
    return int(np.searchsorted(middles, moment))


def gap_moment(picture: Picture, own: int, place: int) -> int:
    """Where a place begins in the picture as it is: before the pass that stands there, or behind it when moving on."""
    shape = picture.passes[place]
    return shape.end if place > own else shape.start
