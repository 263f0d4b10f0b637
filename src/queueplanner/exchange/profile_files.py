"""The press's settings profile and the shop's material figures, read from their files."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from queueplanner.exchange.near import shown
from queueplanner.exchange.toml_file import laid_over, problems_of, read_toml
from queueplanner.shop.card_profile import CardProfile
from queueplanner.shop.errors import BadInput, Problem
from queueplanner.shop.material_figures import MaterialFigures
from queueplanner.shop.resources import resource_path

Model = TypeVar("Model", bound=BaseModel)


def load_card_profile(*own: Path) -> CardProfile:
    """The neutral default of `card.toml`; what files of the shop's own say under `card` is laid over it, in order.

    Other keys of those files are left alone, so they may be whole press files. Raises BadInput with every problem.
    """
    return _layered("card.toml", "card", CardProfile, own)


def load_material_figures(*own: Path) -> MaterialFigures:
    """The figures of `materials.toml`; what files of the shop's own say under `materials` is laid over them, in order.

    Raises BadInput with every problem.
    """
    return _layered("materials.toml", "materials", MaterialFigures, own)


def shop_material_figures(folder: Path | None = None, press_file: Path | None = None) -> MaterialFigures:
    """The material figures of a shop's folder: its press file's, its `materials.toml`, then those of `press_file`."""
    names = ("press.toml", "materials.toml")
    own = [] if folder is None else [path for name in names if (path := folder / name).exists()]
    return load_material_figures(*own, *([press_file] if press_file is not None else []))


def _layered(name: str, key: str, model: type[Model], own: Sequence[Path]) -> Model:
    files = [read_toml(place) for place in (resource_path(name), *own)]
    data: dict[str, Any] = {}
    for file in files:
        part = file.data.get(key, {})
        if not isinstance(part, dict):
            raise BadInput([Problem(file.name, file.line_of((key,)), key, shown(part), f"write a table: [{key}]")])
        data = laid_over(data, part)
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise BadInput(problems_of(error, files[::-1], (key,))) from None
