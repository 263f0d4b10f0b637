"""A changeover as bits: which tasks come, what they take one person or two, and the units after it; compiled.

The rules are those of `makeready`, on the numbers of a compact instance; a property test holds them equal.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from queueplanner.makeready.compiled import compiled, inlined
from queueplanner.makeready.crew_kernel import two_person_seconds
from queueplanner.planning.compact import (
    BOTH_UNITS_S,
    FIRST_WASH_CODES,
    INK,
    LAST_END,
    OFF_AUTO_S,
    OFF_AUTOMATIC,
    OILED,
    OLD_INK,
    OLD_WASHES,
    ON_AUTO_S,
    ON_AUTOMATIC,
    PILE,
    PLATE,
    PREV,
    PRINTED,
    REDUCED,
    SOLUTION,
    TWO_UNITS,
    UNIT,
    UNIT_WIDTH,
    UNKNOWN,
    WASH_CODE,
    WASH_S,
    Ints,
)
from queueplanner.planning.flat import (
    EXTERNAL,
    EXTERNALS,
    GROWS,
    INK_OF,
    INKS,
    MATERIAL,
    OWN_INK,
    OWN_PLATE,
    PACKING,
    PASSES,
    PILE_FREE,
    PLATE_AUTOMATIC,
    PLATE_METAL,
    PLATE_OF,
    PLATE_POLYESTER,
    PLATES,
    RUN_S,
    SHARED,
    SHARED_SECONDS,
    SHEET_REGISTER,
    SLOT_BEFORE,
    SLOT_COUNT,
    SLOT_MODE,
    SLOT_PLACE,
    SLOT_SECONDS,
    TACKY,
    TAKES_IDLE_OFF,
    UNITS,
    VARIANT_SECONDS,
    WASHES,
    WET,
)
from queueplanner.planning.slots import SLOT

PRE_DAMP_AFTER_S = 30 * 60

_TAKE_OFF_PILE = SLOT[("take_off_delivery_pile", None)]
_LOAD = SLOT[("load_pile", None)]
_TURN = SLOT[("turn_pile", None)]
_LIFT = SLOT[("lift_roller_package", 2)]
_OFF = SLOT[("take_plate_off", 1)]
_ON = SLOT[("put_plate_on", 1)]
_PACKING = SLOT[("change_plate_packing", 1)]
_PRE_DAMP = SLOT[("pre_damp_plate", 1)]
_GUM = SLOT[("gum_plate", 1)]
SLOT_EMPTY = SLOT[("empty_fountain", 1)]
SLOT_WASH = SLOT[("wash_rollers", 1)]
SLOT_OIL = SLOT[("oil_rollers", 1)]
_FILL = SLOT[("fill_fountain", 1)]
_TACK = SLOT[("reduce_tack", None)]
_BLANKETS = SLOT[("wash_blankets", None)]
_DAMPENING = SLOT[("change_dampening", None)]
_REGISTER = SLOT[("register_and_colour", None)]
_OWN = len(SLOT)

MEMO_BITS = 16
_MEMO_MASK = 2**MEMO_BITS - 1


class Memo(NamedTuple):
    """Two-person seconds already reckoned, by signature: an open-addressed table. `held[0]` counts its entries."""

    mask: Ints
    variant: Ints
    seconds: Ints
    held: Ints


def new_memo() -> Memo:
    """An empty memo."""
    size = 2**MEMO_BITS
    mask, variant, seconds = (np.zeros(size, dtype=np.int64) for _ in range(3))
    return Memo(mask, variant, seconds, np.zeros(1, dtype=np.int64))


@inlined
def slot_seconds(T: Ints, slot: int, variant: int) -> int:
    """Seconds of one slot, as the variant word has it."""
    if slot == _OFF or slot == _OFF + 1:
        if variant >> (OFF_AUTOMATIC + slot - _OFF) & 1:
            return T[T[VARIANT_SECONDS] + OFF_AUTO_S]
    elif slot == _ON or slot == _ON + 1:
        if variant >> (ON_AUTOMATIC + slot - _ON) & 1:
            return T[T[VARIANT_SECONDS] + ON_AUTO_S]
    elif slot == SLOT_WASH or slot == SLOT_WASH + 1:
        return T[T[VARIANT_SECONDS] + WASH_S + (variant >> (WASH_CODE + 4 * (slot - SLOT_WASH)) & 15) - 1]
    elif slot == _REGISTER and variant >> TWO_UNITS & 1:
        return T[T[VARIANT_SECONDS] + BOTH_UNITS_S]
    return T[T[SLOT_SECONDS] + slot]


@compiled
def signature_seconds(T: Ints, memo: Memo, mask: int, variant: int, crew: int) -> int:
    """Make-ready seconds of a set of slots: the sum for one person, the optimal makespan for two."""
    if crew == 1:
        total = 0
        rest = mask
        slot = 0
        while rest:
            if rest & 1:
                total += slot_seconds(T, slot, variant)
            rest >>= 1
            slot += 1
        return total
    if mask == 0:
        return 0
    place = (mask ^ mask >> 17 ^ mask >> 34 ^ variant * 2654435761) & _MEMO_MASK
    while memo.mask[place] != 0:
        if memo.mask[place] == mask and memo.variant[place] == variant:
            return memo.seconds[place]
        place = (place + 1) & _MEMO_MASK
    total = _makespan(T, mask, variant)
    if memo.held[0] < _MEMO_MASK * 3 // 4:
        memo.mask[place] = mask
        memo.variant[place] = variant
        memo.seconds[place] = total
        memo.held[0] += 1
    return total


@compiled
def _makespan(T: Ints, mask: int, variant: int) -> int:
    """The optimal two-person makespan of a set of slots."""
    count = 0
    number = np.full(64, -1, np.int64)
    for slot in range(T[SLOT_COUNT]):
        if mask >> slot & 1:
            number[slot] = count
            count += 1
    seconds = np.zeros(count, np.int64)
    place = np.zeros(count, np.int64)
    mode = np.zeros(count, np.int64)
    before = np.zeros(count, np.int64)
    for slot in range(T[SLOT_COUNT]):
        i = number[slot]
        if i < 0:
            continue
        seconds[i] = slot_seconds(T, slot, variant)
        place[i] = T[T[SLOT_PLACE] + slot]
        mode[i] = T[T[SLOT_MODE] + slot]
        for earlier in range(T[SLOT_COUNT]):
            if number[earlier] >= 0 and T[T[SLOT_BEFORE] + slot] >> earlier & 1:
                before[i] |= 1 << number[earlier]
    return two_person_seconds(count, seconds, place, mode, before)


@inlined
def _unit_plate(T: Ints, s: Ints, u: int, want: int, moves: bool, begin: int, fresh: Ints) -> tuple[int, int]:
    """The plate work of one unit: its bits and variant; the plate mounted after it goes into `fresh`."""
    base = UNIT + u * UNIT_WIDTH
    plate = s[base + PLATE]
    bits = 0
    variant = 0
    off = False
    if plate >= 0:
        off = moves or (plate != want if want >= 0 else T[TAKES_IDLE_OFF] == 1)
        if T[T[PLATE_POLYESTER] + plate] and (off or plate == want):
            last = s[base + LAST_END]
            if last < 0 or begin - last > PRE_DAMP_AFTER_S:
                bits |= 1 << (_PRE_DAMP + u)
        if T[T[PLATE_METAL] + plate] and not off and want < 0 and s[PRINTED] >> u & 1:
            bits |= 1 << (_GUM + u)
    if off:
        bits |= 1 << (_OFF + u)
        if T[T[PLATE_AUTOMATIC] + plate]:
            variant |= 1 << (OFF_AUTOMATIC + u)
        elif u == 1:
            bits |= 1 << _LIFT
    if want >= 0 and plate != want:
        bits |= 1 << (_ON + u)
        if T[T[PLATE_AUTOMATIC] + want]:
            variant |= 1 << (ON_AUTOMATIC + u)
        if off and T[T[PACKING] + plate * T[PLATES] + want]:
            bits |= 1 << (_PACKING + u)
    fresh[u * UNIT_WIDTH + PLATE] = want if want >= 0 else (UNKNOWN if off else plate)
    return bits, variant


@inlined
def _unit_ink(T: Ints, s: Ints, u: int, want: int, stale: bool, fresh: Ints) -> tuple[int, int]:
    """The ink work of one unit: its bits and wash code; its ink, residue and oil after it go into `fresh`."""
    base = UNIT + u * UNIT_WIDTH
    ink = s[base + INK]
    empty, wash, oil, fill = 1 << (SLOT_EMPTY + u), 1 << (SLOT_WASH + u), 1 << (SLOT_OIL + u), 1 << (_FILL + u)
    at = u * UNIT_WIDTH
    fresh[at + LAST_END] = s[base + LAST_END]
    if want < 0:
        if ink >= 0 and not stale:
            for column in (INK, REDUCED, OLD_INK, OLD_WASHES, OILED):
                fresh[at + column] = s[base + column]
            return 0, 0
        fresh[at + INK], fresh[at + REDUCED], fresh[at + OILED] = UNKNOWN, 0, 1
        if ink >= 0:
            fresh[at + OLD_INK], fresh[at + OLD_WASHES] = ink, 1
            return empty | wash | oil, 1
        fresh[at + OLD_INK], fresh[at + OLD_WASHES] = s[base + OLD_INK], s[base + OLD_WASHES]
        return (0 if s[base + OILED] else oil), 0
    fresh[at + INK], fresh[at + REDUCED], fresh[at + OLD_INK] = want, 0, UNKNOWN
    fresh[at + OLD_WASHES], fresh[at + OILED] = 0, 0
    if ink == want:
        if stale:
            return empty | wash | fill, 1
        fresh[at + REDUCED] = s[base + REDUCED]
        return 0, 0
    if ink >= 0:
        return empty | wash | fill, T[T[WASHES] + ink * T[INKS] + want]
    old = s[base + OLD_INK]
    if old >= 0 and old != want:
        more = T[T[WASHES] + old * T[INKS] + want] - s[base + OLD_WASHES]
        if more > 0:
            return wash | fill, FIRST_WASH_CODES + more
    return fill, 0


@inlined
def _unit_seconds(T: Ints, u: int, bits: int, variant: int) -> int:
    """Seconds of the tasks of one unit that depend on its ink and plates."""
    total = 0
    if bits >> (_OFF + u) & 1:
        total += slot_seconds(T, _OFF + u, variant)
    if bits >> (_ON + u) & 1:
        total += slot_seconds(T, _ON + u, variant)
    if bits >> (SLOT_WASH + u) & 1:
        total += slot_seconds(T, SLOT_WASH + u, variant)
    for slot in (_PACKING + u, _PRE_DAMP + u, _GUM + u, SLOT_EMPTY + u, SLOT_OIL + u, _FILL + u, _LIFT):
        if bits >> slot & 1:
            total += T[T[SLOT_SECONDS] + slot]
    return total


@compiled
def _own_seconds(T: Ints, own: int) -> int:
    """Seconds of some of the shop's own tasks."""
    total = 0
    for slot in range(_OWN, T[SLOT_COUNT]):
        if own >> slot & 1:
            total += T[T[SLOT_SECONDS] + slot]
    return total


@inlined
def changeover_signature(T: Ints, s: Ints, p: int, c: int, begin: int, stale: int, fresh: Ints) -> tuple[int, int, int]:
    """The tasks of a changeover as bits and variant, and one person's seconds for them.

    The units as they stand after it go into `fresh`.
    """
    prev = s[PREV]
    mask = T[T[SHARED] + prev * T[PASSES] + p]
    seconds = T[T[SHARED_SECONDS] + prev * T[PASSES] + p]
    variant = 0
    if s[PILE]:
        mask |= 1 << _TAKE_OFF_PILE
        seconds += T[T[SLOT_SECONDS] + _TAKE_OFF_PILE]
    plated, filled = 0, 0
    for u in range(T[UNITS]):
        want = T[T[PLATE_OF] + p * 4 + c * 2 + u]
        plate = s[UNIT + u * UNIT_WIDTH + PLATE]
        moves = T[UNITS] == 2 and plate >= 0 and T[T[PLATE_OF] + p * 4 + c * 2 + 1 - u] == plate
        bits, kind = _unit_plate(T, s, u, want, moves, begin, fresh)
        mask |= bits
        variant |= kind
        if bits & (1 << (_OFF + u) | 1 << (_ON + u)):
            plated |= 1
        bits_ink, code = _unit_ink(T, s, u, T[T[INK_OF] + p * 4 + c * 2 + u], (stale >> u & 1) == 1, fresh)
        mask |= bits_ink
        variant |= code << (WASH_CODE + 4 * u)
        seconds += _unit_seconds(T, u, bits | bits_ink, variant)
        if bits_ink & 1 << (_FILL + u):
            filled |= 1 << u
        elif bits & 1 << (_ON + u):
            filled |= 4 << u
    ink_filled = filled & 3
    if (
        T[T[WET] + p]
        and T[T[TACKY] + (T[T[INK_OF] + p * 4 + c * 2 + 0]) * T[INKS] + T[T[INK_OF] + p * 4 + c * 2 + 1]]
        and not fresh[UNIT_WIDTH + REDUCED]
    ):
        mask |= 1 << _TACK
        seconds += T[T[SLOT_SECONDS] + _TACK]
        fresh[UNIT_WIDTH + REDUCED] = 1
    if plated or ink_filled or T[T[GROWS] + prev * T[PASSES] + p]:
        mask |= 1 << _BLANKETS
        seconds += T[T[SLOT_SECONDS] + _BLANKETS]
    if T[T[MATERIAL] + p] != s[SOLUTION]:
        mask |= 1 << _DAMPENING
        seconds += T[T[SLOT_SECONDS] + _DAMPENING]
    if (filled | filled >> 2) & 3 == 3:
        variant |= 1 << TWO_UNITS
    if filled or T[T[SHEET_REGISTER] + prev * T[PASSES] + p]:
        mask |= 1 << _REGISTER
        seconds += slot_seconds(T, _REGISTER, variant)
    own = (T[OWN_PLATE] if plated else 0) | (T[OWN_INK] if ink_filled else 0)
    if own & ~mask:
        seconds += _own_seconds(T, own & ~mask)
        mask |= own
    return mask, variant, seconds


@inlined
def without_external(T: Ints, mask: int, seconds: int, prev: int, p: int) -> tuple[int, int]:
    """What stays in the changeover, as bits and seconds, once the marked tasks have moved into the run before it."""
    left = T[T[RUN_S] + prev]
    for e in range(T[EXTERNALS]):
        slot = T[T[EXTERNAL] + e]
        if mask >> slot & 1 and T[T[SLOT_SECONDS] + slot] <= left:
            if slot in (_LOAD, _TURN) and not T[T[PILE_FREE] + prev * T[PASSES] + p]:
                continue
            left -= T[T[SLOT_SECONDS] + slot]
            seconds -= T[T[SLOT_SECONDS] + slot]
            mask &= ~(1 << slot)
    return mask, seconds
