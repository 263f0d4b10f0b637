from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from queueplanner.desk.day_loader import first_shift, load_day
from queueplanner.exchange.demo import DEMO_DAY, demo_jobs
from queueplanner.exchange.shop_files import load_shop
from queueplanner.shop.errors import BadInput


def wednesday() -> datetime:
    return datetime(2026, 11, 25, 15, tzinfo=UTC)


def test_the_demo_day_is_laid_out_in_the_order_received() -> None:
    day = load_day(demo_jobs(), DEMO_DAY, wednesday)
    assert set(day.as_received.order) == set(day.instance.passes)
    assert day.as_received.start == int(first_shift(day.instance.shop, DEMO_DAY).timestamp())


def test_without_a_day_the_plan_is_for_the_next_working_day() -> None:
    friday = load_day(demo_jobs(), None, lambda: datetime(2026, 11, 27, 15, tzinfo=UTC))
    begins = datetime.fromtimestamp(friday.as_received.start, friday.as_received.zone)
    assert begins.date() == date(2026, 11, 30)


def test_a_shop_that_never_opens_is_bad_input() -> None:
    shop = load_shop()
    closed = frozenset(date.fromordinal(date(2026, 11, 26).toordinal() + n) for n in range(400))
    shut = shop.model_copy(update={"calendar": shop.calendar.model_copy(update={"closed": closed})})
    with pytest.raises(BadInput):
        first_shift(shut, date(2026, 11, 26))


def test_a_list_that_is_not_there_is_bad_input(tmp_path: Path) -> None:
    with pytest.raises(BadInput):
        load_day(tmp_path / "none.csv", DEMO_DAY, wednesday)
