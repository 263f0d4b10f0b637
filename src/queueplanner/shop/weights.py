"""What counts in a plan, in whole numbers: the weights of the sum that planning makes small."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from queueplanner.shop.base import ShopModel

Weight = Annotated[int, Field(ge=0, le=1_000_000)]


class Weights(ShopModel):
    """Points per weighted second late, per second of make-ready, per wash-up, per reversed pair of passes."""

    late_second: Weight = 1000
    makeready_second: Weight = 10
    wash_up: Weight = 60
    reversed_pair: Weight = 120
