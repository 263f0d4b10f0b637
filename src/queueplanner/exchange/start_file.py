"""The press at the plan's start, as a file tells it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from queueplanner.exchange.local_time import LocalTimeError, local_moment
from queueplanner.exchange.near import shown, suggestion
from queueplanner.exchange.toml_file import KeyPath, TomlFile, problems_of, read_toml
from queueplanner.shop.errors import BadInput, Problem
from queueplanner.shop.resources import resource_path
from queueplanner.shop.shop import Shop
from queueplanner.shop.start import PressStart

#: A first side whose end nobody knows.
UNKNOWN_WORD = "unknown"


def load_start(path: Path | None, shop: Shop) -> PressStart:
    """The press at the plan's start; without a file, as a careful evening leaves it.

    Times without an offset are the shop's local time. Raises BadInput with every problem of the file.
    """
    return _Reading(read_toml(resource_path("start.toml") if path is None else path), shop).start()


class _Reading:
    """The reading of one file, and every problem met on the way."""

    def __init__(self, file: TomlFile, shop: Shop) -> None:
        self.file, self.shop = file, shop
        self.problems: list[Problem] = []

    def start(self) -> PressStart:
        data = self._aware(self.file.data, ())
        self._first_sides(data)
        self._format(data)
        try:
            start = PressStart.model_validate(data)
        except ValidationError as error:
            raise BadInput([*self.problems, *problems_of(error, [self.file])]) from None
        self._check_names(start)
        self._check_units(start)
        if self.problems:
            raise BadInput(self.problems)
        return start

    def _note(self, path: KeyPath, found: str, wanted: str) -> None:
        column = ".".join(str(part) for part in path)
        self.problems.append(Problem(self.file.name, self.file.line_of(path), column, found, wanted))

    def _aware(self, value: Any, path: KeyPath) -> Any:
        """The same data, every local time turned into the moment it is in the shop's zone."""
        if isinstance(value, dict):
            return {key: self._aware(inner, (*path, key)) for key, inner in value.items()}
        if isinstance(value, list):
            return [self._aware(inner, (*path, index)) for index, inner in enumerate(value)]
        if isinstance(value, datetime) and value.tzinfo is None:
            try:
                return local_moment(value, self.shop.calendar.zone)
            except LocalTimeError as error:
                self._note(path, shown(value), error.wanted)
                return value.replace(tzinfo=self.shop.calendar.zone)
        return value

    def _first_sides(self, data: dict[str, Any]) -> None:
        sides = data.get("printed_first_sides")
        if isinstance(sides, dict):
            data["printed_first_sides"] = {k: None if v == UNKNOWN_WORD else v for k, v in sides.items()}

    def _format(self, data: dict[str, Any]) -> None:
        settings = data.get("settings")
        if not isinstance(settings, dict) or not isinstance(settings.get("format"), str):
            return
        text = settings["format"]
        settings["format"] = self.shop.format_named(text)
        if settings["format"] is None:
            wanted = 'write a format name, or a size such as "210 x 297 mm"'
            self._note(("settings", "format"), shown(text), wanted)

    def _check_names(self, start: PressStart) -> None:
        for path, ink in _named_inks(start):
            if ink not in self.shop.inks:
                self._note(path, f"no ink {shown(ink)}", suggestion(ink, self.shop.inks, "ink"))
        stock = start.settings.stock
        if stock is not None and stock not in self.shop.stocks:
            found = f"no stock {shown(stock)}"
            self._note(("settings", "stock"), found, suggestion(stock, self.shop.stocks, "stock"))

    def _check_units(self, start: PressStart) -> None:
        press = self.shop.press
        if len(start.units) < press.units:
            wanted = f"describe all {press.units} units of {press.name}, each under [[units]]"
            self._note(("units",), f"{len(start.units)} unit", wanted)


def _named_inks(start: PressStart) -> Iterator[tuple[KeyPath, str]]:
    for index, unit in enumerate(start.units):
        if unit.ink is not None:
            yield ("units", index, "ink"), unit.ink
        if unit.residue is not None:
            yield ("units", index, "residue"), unit.residue
