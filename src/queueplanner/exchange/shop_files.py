"""The shop's own files: inks, stocks, formats, press, shifts and planning weights."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from queueplanner.exchange.near import shown, suggestion
from queueplanner.exchange.toml_file import KeyPath, TomlFile, laid_over, problems_of, read_toml
from queueplanner.shop.base import InkId
from queueplanner.shop.calendar import Calendar
from queueplanner.shop.errors import BadInput, Problem
from queueplanner.shop.format import Format
from queueplanner.shop.ink import Ink
from queueplanner.shop.press import PressProfile
from queueplanner.shop.resources import resource_path
from queueplanner.shop.shop import Shop
from queueplanner.shop.stock import Stock
from queueplanner.shop.weights import Weights

#: The files of a shop's folder. Each may be missing: then the program's own stands in for it.
SHOP_FILES = tuple(
    f"{name}.toml"
    for name in ("inks", "stocks", "formats", "press", "shifts", "planning", "start", "card", "materials")
)
#: Tables of a press file that are read elsewhere: the shop's material figures.
_TABLES_OF_OTHERS = ("materials",)

Model = TypeVar("Model", bound=BaseModel)


def load_shop(folder: Path | None = None, press_file: Path | None = None) -> Shop:
    """The shop of a folder; without one, the demo shop.

    Lists (inks, stocks, formats, shifts) in the folder replace the program's own; press, card and planning files,
    and then `press_file`, are laid over them key by key. Raises BadInput with every problem of every file.
    """
    loading = _Loading(folder)
    inks = loading.table("inks.toml", Ink)
    stocks = loading.table("stocks.toml", Stock)
    formats = loading.table("formats.toml", Format)
    press_files = loading.over_defaults("press.toml", "card.toml") + ([press_file] if press_file else [])
    press, read = loading.layered(press_files, PressProfile)
    calendar, _ = loading.layered([loading.place("shifts.toml")], Calendar)
    weights, _ = loading.layered(loading.over_defaults("planning.toml"), Weights)
    if press is not None and inks:
        loading.problems += _override_problems(press, inks, read)
    if loading.problems or press is None or calendar is None or weights is None:
        raise BadInput(loading.problems)
    return Shop(inks=inks, stocks=stocks, formats=formats, press=press, calendar=calendar, weights=weights)


class _Loading:
    """The reading of a folder: what was read, and every problem met on the way."""

    def __init__(self, folder: Path | None) -> None:
        self.folder = folder
        self.problems: list[Problem] = []
        if folder is not None and not folder.is_dir():
            found = "a file" if folder.exists() else "no such folder"
            self.problems.append(Problem(str(folder), None, None, found, "give the folder with the shop's files"))
        elif folder is not None:
            self._note_strangers(folder)

    def table(self, name: str, model: type[Model]) -> dict[Any, Model]:
        """A file of tables, one to an entry, by id; a wrong entry is left out and its problems noted."""
        file = self._read(self.place(name))
        if file is None:
            return {}
        entries: dict[Any, Model] = {}
        for key, value in file.data.items():
            entry = self._entry(file, key, value, model)
            if entry is not None:
                entries[key] = entry
        return entries

    def over_defaults(self, *names: str) -> list[Path]:
        """The program's own files of these names, and then those of the folder."""
        own = [] if self.folder is None else [self.folder / name for name in names]
        return [*(resource_path(name) for name in names), *(path for path in own if path.exists())]

    def layered(self, places: Sequence[Path], model: type[Model]) -> tuple[Model | None, list[TomlFile]]:
        """What files say, each laid over those before it; None when it is wrong. And the files, topmost first."""
        read = [self._read(place) for place in places]
        files = [file for file in reversed(read) if file is not None]
        if len(files) < len(read):
            return None, files
        data: dict[str, Any] = {}
        for file in reversed(files):
            data = laid_over(data, {k: v for k, v in file.data.items() if k not in _TABLES_OF_OTHERS})
        return self._checked(lambda: model.model_validate(data), files, ()), files

    def place(self, name: str) -> Path:
        """The folder's file, else the program's own."""
        own = None if self.folder is None else self.folder / name
        return own if own is not None and own.exists() else resource_path(name)

    def _read(self, path: Path) -> TomlFile | None:
        try:
            return read_toml(path)
        except BadInput as error:
            self.problems += error.problems
            return None

    def _entry(self, file: TomlFile, key: str, value: object, model: type[Model]) -> Model | None:
        if not isinstance(value, dict):
            problem = Problem(file.name, file.line_of((key,)), key, shown(value), f"write a table: [{key}]")
            self.problems.append(problem)
            return None
        own_name = "name" if model is Format else "id"
        if own_name in value:
            wanted = f"leave it out: the heading [{key}] is the {own_name}"
            place = file.line_of((key, own_name))
            self.problems.append(Problem(file.name, place, f"{key}.{own_name}", shown(value[own_name]), wanted))
            return None
        return self._checked(lambda: model.model_validate({**value, own_name: key}), [file], (key,))

    def _checked(self, make: Callable[[], Model], files: Sequence[TomlFile], prefix: KeyPath) -> Model | None:
        try:
            return make()
        except ValidationError as error:
            self.problems += problems_of(error, files, prefix)
            return None

    def _note_strangers(self, folder: Path) -> None:
        for path in sorted(folder.glob("*.toml")):
            if path.name not in SHOP_FILES:
                wanted = suggestion(path.name, SHOP_FILES, "shop file")
                self.problems.append(Problem(str(path), None, None, "a file that nothing reads", wanted))


def _override_problems(press: PressProfile, inks: Mapping[InkId, Ink], files: Sequence[TomlFile]) -> list[Problem]:
    problems = []
    file = next((f for f in files if "wash_overrides" in f.data), files[0])
    for index, override in enumerate(press.wash_overrides):
        for side, ink in (("old", override.old), ("new", override.new)):
            if ink not in inks:
                path = ("wash_overrides", index, side)
                column = ".".join(map(str, path))
                wanted = suggestion(ink, inks, "ink")
                problems.append(Problem(file.name, file.line_of(path), column, f"no ink {shown(ink)}", wanted))
    return problems
