"""Where the program's own data lies: in a checkout and when installed."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parents[1]
#: Installed, the data lies inside the package; in a checkout it is the top folder `resources`.
_ROOTS = (_PACKAGE / "resources", _PACKAGE.parents[1] / "resources")


def resource_path(*parts: str) -> Path:
    """Where a file or folder of the program's own data lies: `resource_path("colour", "illuminant_d50.csv")`.

    Raises FileNotFoundError if it is in none of the places looked at.
    """
    places = [root.joinpath(*parts) for root in _ROOTS]
    for place in places:
        if place.exists():
            return place
    raise FileNotFoundError(f"{'/'.join(parts)} is missing from the program's data: looked for {places}")
