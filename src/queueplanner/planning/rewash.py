"""A day reckoned again with other wash counts of the shop's own: the same passes, orders and units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Plan
from queueplanner.shop.base import InkId
from queueplanner.shop.press import WashOverride
from queueplanner.shop.shop import Shop


def with_overrides(shop: Shop, overrides: Mapping[tuple[InkId, InkId], int]) -> Shop:
    """The shop with these wash counts, by (old ink, new ink), in place of its own."""
    listed = tuple(WashOverride(old=old, new=new, washes=washes) for (old, new), washes in overrides.items())
    return shop.model_copy(update={"press": shop.press.model_copy(update={"wash_overrides": listed})})


def rewashed(instance: Instance, overrides: Mapping[tuple[InkId, InkId], int]) -> Instance:
    """The instance with these wash counts; nothing else of it depends on them."""
    return replace(instance, shop=with_overrides(instance.shop, overrides))


def evaluated_again(instance: Instance, plan: Plan) -> Plan:
    """A plan's order and units on another instance of the same passes; nothing is claimed of it.

    Raises NoPlan when the order breaks a hard rule there.
    """
    units = {p.id: tuple(p.unit_of[s.ink.id] for s in p.print_pass.separations) for p in plan.passes}
    return evaluate(instance, plan.order, units)
