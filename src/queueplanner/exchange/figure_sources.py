"""Where every figure of the materials comes from: a file and line of the shop's own, or the default's source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import BaseModel

from queueplanner.exchange.material_wording import FIGURES
from queueplanner.exchange.toml_file import TomlFile, read_toml
from queueplanner.shop.material_figures import MaterialFigures
from queueplanner.shop.press import PressProfile

#: The shop's files that may hold such figures; a later one is laid over those before it.
_OWN_FILES = ("press.toml", "card.toml", "materials.toml")


@dataclass(frozen=True, slots=True)
class FigureSource:
    """One figure in words: its name, its value with the unit, its source; `own` is one of the shop's own files."""

    name: str
    value: str
    source: str
    own: bool


def figure_sources(
    press: PressProfile, figures: MaterialFigures, folder: Path | None = None, press_file: Path | None = None
) -> tuple[FigureSource, ...]:
    """Every figure in use with its source, from the shop's folder and press file. Raises BadInput for those files."""
    paths = [] if folder is None else [folder / name for name in _OWN_FILES]
    files = [read_toml(path) for path in [*paths, *([press_file] if press_file else [])] if path.exists()]
    data = press.model_dump(mode="json") | {"materials": figures.model_dump(mode="json")}
    made = []
    for key, words in FIGURES.items():
        path = key.split(".")
        value = _value(data, path)
        if value is None:
            continue
        own = _own_place(files, path)
        text = f"{value:g}" if isinstance(value, int | float) else str(value)
        made.append(
            FigureSource(words.name, f"{text} {words.unit}".strip(), own or words.source, own is not None)
        )
    return tuple(made)


def _value(data: object, path: Sequence[str]) -> object:
    for part in path:
        if isinstance(data, BaseModel):
            data = getattr(data, part, None)
        elif isinstance(data, Mapping):
            data = data.get(part)
        else:
            return None
    return data


def _own_place(files: Sequence[TomlFile], path: Sequence[str]) -> str | None:
    for file in reversed(files):
        if _value(file.data, path) is not None:
            line = file.line_of(path)
            return f"the shop's own: {Path(file.name).name}" + (f", line {line}" if line is not None else "")
    return None
