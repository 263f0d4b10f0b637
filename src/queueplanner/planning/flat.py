"""The compact instance as one row of numbers: compiled code is handed one array, not fifty.

`T[PASSES]` and the like are figures; `T[RUN_S] + p` is the place of pass p's run seconds. A table's rows follow one
another: of pairs of passes n long, of inks and plates as long as there are inks and plates.
"""

from __future__ import annotations

import numpy as np

from queueplanner.planning.compact import Compact, Ints

#: The figures, and the tables, in the order in which the row holds them.
_FIGURES = ("n", "units", "takes_idle_off", "crosses_days", "own_plate", "own_ink", "started", "makeready_left")
_COUNTS = (
    "inks",
    "plates",
    "windows",
    "days",
    "slot_count",
    "externals",
    "shifts",
    "pinned",
    "grouped",
    "turned",
    "known",
)
_TABLES = tuple(name for name in Compact._fields if name not in _FIGURES)

_HEAD = len(_FIGURES) + len(_COUNTS) + len(_TABLES)
_PLACE = {name: i for i, name in enumerate((*_FIGURES, *_COUNTS, *_TABLES))}

PASSES, UNITS = _PLACE["n"], _PLACE["units"]
TAKES_IDLE_OFF, CROSSES_DAYS = _PLACE["takes_idle_off"], _PLACE["crosses_days"]
OWN_PLATE, OWN_INK = _PLACE["own_plate"], _PLACE["own_ink"]
INKS, PLATES, WINDOWS, DAYS = _PLACE["inks"], _PLACE["plates"], _PLACE["windows"], _PLACE["days"]
SLOT_COUNT, EXTERNALS, SHIFTS = _PLACE["slot_count"], _PLACE["externals"], _PLACE["shifts"]
START, SHARED, SHARED_SECONDS = _PLACE["start"], _PLACE["shared"], _PLACE["shared_seconds"]
GROWS, SHEET_REGISTER, PILE_FREE = _PLACE["grows"], _PLACE["sheet_register"], _PLACE["pile_free"]
CHOICES, INK_OF, PLATE_OF = _PLACE["choices"], _PLACE["ink_of"], _PLACE["plate_of"]
WET, MATERIAL, RUN_S, EARLIEST = _PLACE["wet"], _PLACE["material"], _PLACE["run_s"], _PLACE["earliest"]
FIRST, DRY_S, LONGEST_PAUSE = _PLACE["first"], _PLACE["dry_s"], _PLACE["longest_pause"]
JOB, LAST_OF_JOB, DUE, WEIGHT = _PLACE["job"], _PLACE["last_of_job"], _PLACE["due"], _PLACE["weight"]
GIVEN_END, OPEN_S, WASHES, TACKY = _PLACE["given_end"], _PLACE["open_s"], _PLACE["washes"], _PLACE["tacky"]
PLATE_METAL, PLATE_POLYESTER = _PLACE["plate_metal"], _PLACE["plate_polyester"]
PLATE_AUTOMATIC, PACKING = _PLACE["plate_automatic"], _PLACE["packing"]
SLOT_SECONDS, VARIANT_SECONDS, EXTERNAL = _PLACE["slot_seconds"], _PLACE["variant_seconds"], _PLACE["external"]
SLOT_PLACE, SLOT_MODE, SLOT_BEFORE = _PLACE["slot_place"], _PLACE["slot_mode"], _PLACE["slot_before"]
WINDOW_START, WINDOW_END = _PLACE["window_start"], _PLACE["window_end"]
WINDOW_DAY, WINDOW_CREW = _PLACE["window_day"], _PLACE["window_crew"]
SHIFT_START, SHIFT_CREW, DAY_START = _PLACE["shift_start"], _PLACE["shift_crew"], _PLACE["day_start"]
WEIGHTS = _PLACE["weights"]
STARTED, MAKEREADY_LEFT = _PLACE["started"], _PLACE["makeready_left"]
#: How many pins, passes with a group (all or none), turns and passes with a known place (all or none) there are.
PINNED, GROUPED, TURNED, KNOWN = _PLACE["pinned"], _PLACE["grouped"], _PLACE["turned"], _PLACE["known"]
PINS, GROUP_OF, TURNS, KNOWN_RANK = _PLACE["pins"], _PLACE["group_of"], _PLACE["turns"], _PLACE["known_rank"]


def flatten(T: Compact) -> Ints:
    """The whole instance as one row."""
    counts = (
        T.open_s.size,
        T.plate_metal.size,
        T.window_end.size,
        T.day_start.size,
        T.slot_seconds.size,
        T.external.size,
        T.shift_start.size,
        T.pins.size // 2,
        T.group_of.size,
        T.turns.size // 2,
        T.known_rank.size,
    )
    head = [getattr(T, name) for name in _FIGURES] + list(counts)
    tables = [getattr(T, name).ravel() for name in _TABLES]
    places = _HEAD + np.cumsum([0, *(table.size for table in tables)])[:-1]
    return np.concatenate([np.array(head, dtype=np.int64), places.astype(np.int64), *tables])
