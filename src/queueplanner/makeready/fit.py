"""Whether a press can run a pass at all, and if not, which figure is at fault and what would be right."""

from __future__ import annotations

from collections.abc import Iterator

from queueplanner.shop.errors import Refused
from queueplanner.shop.job import PrintPass
from queueplanner.shop.press import PressProfile, Range


def refusals(press: PressProfile, print_pass: PrintPass) -> list[Refused]:
    """Everything about a pass that the press cannot run; empty when it can. Fields are job-list columns."""
    return [Refused(print_pass.id, *facts) for facts in _faults(press, print_pass)]


def _faults(press: PressProfile, p: PrintPass) -> Iterator[tuple[str, str, str]]:
    back = "_back" if p.side == 2 else ""
    if len(p.separations) > press.units:
        yield f"inks{back}", f"{len(p.separations)} inks", f"{press.name} has {press.units} printing unit"
    for separation in p.separations:
        ink, plate = separation.ink, separation.plate
        if ink.family not in press.ink_families:
            allowed = ", ".join(sorted(press.ink_families))
            yield f"inks{back}", f"{ink.name} ({ink.family})", f"{press.name} runs only {allowed} inks"
        if not press.plate_thickness_um.holds(plate.thickness_um):
            yield (
                "plate_thickness_mm",
                f"{plate.thickness_um / 1000:g} mm (plate {plate.id})",
                f"{press.name} takes plates {_mm(press.plate_thickness_um, 1000)} thick",
            )
        if not press.plate_length_mm.holds(plate.length_mm):
            yield (
                "plate_length_mm",
                f"{plate.length_mm:g} mm (plate {plate.id})",
                f"{press.name} takes plates {_mm(press.plate_length_mm)} long",
            )
    yield from _sheet_faults(press, p)
    known = {task.name for task in press.own_tasks}
    for name in p.own_tasks:
        if name not in known:
            listed = ", ".join(sorted(known)) or "none"
            yield "own_tasks", name, f"the press profile knows these own tasks: {listed}"


def _sheet_faults(press: PressProfile, p: PrintPass) -> Iterator[tuple[str, str, str]]:
    short, long = press.format_short_mm, press.format_long_mm
    if not (short.holds(p.format.short_mm) and long.holds(p.format.long_mm)):
        yield (
            "format",
            p.format.label,
            f"{press.name} takes sheets with a short side {_mm(short)} and a long side {_mm(long)}",
        )
    if not press.caliper_um.holds(p.stock.caliper_um):
        yield (
            "stock",
            f"{p.stock.name}, {p.stock.caliper_um} µm",
            f"{press.name} takes {press.caliper_um.least:g} to {press.caliper_um.most:g} µm",
        )
    width = p.format.long_mm if p.feed_edge.value == "long" else p.format.short_mm
    for strip in p.strips:
        if strip.to_mm > width:
            column = "strips_back" if p.side == 2 else "strips"
            yield column, f"{strip.from_mm:g}-{strip.to_mm:g} mm", f"the sheet is {width:g} mm across"


def _mm(allowed: Range, divisor: float = 1) -> str:
    return f"from {allowed.least / divisor:g} to {allowed.most / divisor:g} mm"
