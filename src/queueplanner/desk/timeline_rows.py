"""Where the rows of the timeline stand: from the hours at the top to the stock at the bottom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from queueplanner.desk.theme import Theme


@dataclass(frozen=True, slots=True)
class Band:
    """A horizontal band, px."""

    top: float
    height: float

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.top + self.height

    @property
    def middle(self) -> float:
        """Half its height."""
        return self.top + self.height / 2


@dataclass(frozen=True, slots=True)
class UnitRows:
    """The bands of one printing unit: the ink's name, the ribbon, the plate."""

    unit: int
    name: Band
    ribbon: Band
    plate: Band


@dataclass(frozen=True, slots=True)
class Rows:
    """All bands; `left` is the width of the column of row names, `bottom` the height of the whole.

    The upper of the `labels` has no height when make-readies are split: from so near one line is enough.
    `fixed` is there when a person has fixed something of the order, `tasks` when make-readies are split into tasks.
    """

    left: int
    days: Band
    hours: Band
    due: Band
    labels: tuple[Band, Band]
    bar: Band
    tasks: tuple[Band, ...]
    fixed: Band | None
    units: tuple[UnitRows, ...]
    format: Band
    stock: Band
    bottom: float

    @property
    def chart_top(self) -> float:
        """Where the shaded and ruled part begins."""
        return self.due.top


#: Heights at the usual text size, px: least heights, and what share of spare height a band takes.
_LINE, _RIBBON, _BAR, _PLATE, _GAP = 22, 26, 44, 4, 8


@dataclass(frozen=True, slots=True)
class Extra:
    """Bands that are not always there: lines for the names of tasks, a row for what is fixed of the order."""

    task_lines: int = 0
    fixed: bool = False


NOTHING_EXTRA = Extra()


def least_height(theme: Theme, units: int, extra: Extra = NOTHING_EXTRA) -> int:
    """The least height at which all rows can be read."""
    return round(make_rows(theme, range(1, units + 1), left=0, height=0, extra=extra).bottom)


def lines_in(theme: Theme, spare: float) -> int:
    """How many lines of text a height holds."""
    return max(0, int(spare // theme.size(_LINE)))


def make_rows(theme: Theme, units: Sequence[int], *, left: int, height: float, extra: Extra = NOTHING_EXTRA) -> Rows:
    """Bands for a press with these units; spare height goes to the runs and the ribbons."""
    spare = max(0.0, height - _stack(theme, units, left, 0.0, extra).bottom)
    share = min(spare / (len(units) + 1), theme.size(22))
    return _stack(theme, units, left, share, extra)


def _stack(theme: Theme, units: Sequence[int], left: int, more: float, extra: Extra) -> Rows:
    top = 0.0

    def band(px: float, taller: float = 0.0) -> Band:
        nonlocal top
        made = Band(top, theme.size(px) + taller)
        top = made.bottom
        return made

    days, hours = band(_LINE + 4), band(_LINE)
    due = band(_LINE + 6)
    labels = (band(0 if extra.task_lines else _LINE), band(_LINE))
    bar = band(_BAR, more)
    tasks = tuple(band(_LINE) for _ in range(extra.task_lines))
    fixed = band(_LINE + 2) if extra.fixed else None
    of_units = []
    for unit in units:
        band(_GAP)
        of_units.append(UnitRows(unit, band(_LINE), band(_RIBBON, more), band(_PLATE + 3)))
    band(_GAP)
    rows = (band(_LINE + 2), band(_LINE + 2))
    band(4)
    return Rows(left, days, hours, due, labels, bar, tasks, fixed, tuple(of_units), rows[0], rows[1], top)
