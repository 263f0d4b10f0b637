"""What is refused before any clock is looked at: passes the press cannot print, orders breaking a rule."""

from __future__ import annotations

from fractions import Fraction

from tests.oracle.problem import Order, Pass, Plate, Problem, Profile, Refused

MAY_BE_EXTERNAL = frozenset({"load_pile", "turn_pile", "reduce_tack"})


def check_external_marks(profile: Profile) -> None:
    """Only outside tasks may be marked external, the delivery pile never."""
    own_outside = {f"own:{own.name}" for own in profile.own_tasks if own.state == "outside"}
    if not profile.external <= MAY_BE_EXTERNAL | own_outside:
        raise Refused("external_mark")


def check_pass(problem: Problem, job_pass: Pass) -> None:
    """Enough units, plates of one material and in range, inks the press can run."""
    profile = problem.profile
    plates = [problem.plates[separation.plate] for separation in job_pass.separations]
    families = {problem.inks[separation.ink].family for separation in job_pass.separations}
    if len(plates) > profile.units:
        raise Refused("too_many_separations", job_pass.id)
    if len({plate.material for plate in plates}) > 1:
        raise Refused("mixed_plate_materials", job_pass.id)
    if len({plate.id for plate in plates}) < len(plates):
        raise Refused("one_plate_in_two_units", job_pass.id)
    for plate in plates:
        check_plate(profile, plate, job_pass.id)
    if not families <= profile.ink_families:
        raise Refused("ink_family", job_pass.id)
    if min(profile.feeder_pile_um, profile.delivery_pile_um) < problem.stocks[job_pass.stock].caliper_um:
        raise Refused("pile_lower_than_a_sheet", job_pass.id)


def check_plate(profile: Profile, plate: Plate, pass_id: str) -> None:
    """A plate's length and thickness must be in the profile's range."""
    if not profile.plate_length_um[0] <= plate.length_um <= profile.plate_length_um[1]:
        raise Refused("plate_length", pass_id)
    if not profile.plate_thickness_um[0] <= plate.thickness_um <= profile.plate_thickness_um[1]:
        raise Refused("plate_thickness", pass_id)


def check_order(problem: Problem, order: Order) -> None:
    """Never broken: started passes, pinned places, first side before second, lighter ink in unit 1."""
    names = [name for name, _ in order]
    if sorted(names) != sorted(problem.passes):
        raise ValueError("an order holds every pass once")
    if tuple(names[: len(problem.started)]) != problem.started:
        raise Refused("started_pass_moved")
    unstarted = names[len(problem.started) :]
    for name, place in problem.pinned.items():
        if unstarted.index(name) != place:
            raise Refused("pinned_place", name)
    for place, (name, units) in enumerate(order):
        check_first_side(problem, name, names[:place])
        check_units(problem, problem.passes[name], units)


def check_first_side(problem: Problem, name: str, earlier: list[str]) -> None:
    """A first side stands earlier in the plan or was printed before it."""
    first_side = problem.passes[name].first_side
    if first_side is None or first_side in earlier:
        return
    if first_side in problem.passes:
        raise Refused("second_side_before_first", name)
    if first_side not in problem.printed:
        raise Refused("first_side_missing", name)


def check_units(problem: Problem, job_pass: Pass, units: tuple[int, ...]) -> None:
    """The lighter ink in unit 1; either way within 0.1 L*, or with units free.

    Units free has effect only without overprint and with separate blankets.
    """
    if len(units) != len(job_pass.separations) or len(set(units)) != len(units):
        raise ValueError("one unit for each separation")
    if not set(units) <= set(range(1, problem.profile.units + 1)):
        raise ValueError("no such unit")
    if len(units) == 1:
        return
    lightness = {
        unit: Fraction(problem.inks[separation.ink].lightness)
        for unit, separation in zip(units, job_pass.separations, strict=True)
    }
    free = job_pass.units_free and not job_pass.overprint and problem.profile.separate_blankets
    if lightness[2] - lightness[1] > Fraction(1, 10) and not free:
        raise Refused("darker_ink_in_unit_1", job_pass.id)
