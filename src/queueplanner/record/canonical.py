"""One text for one content: bodies as canonical JSON, and the checksums taken over it."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from queueplanner.record.row import Body

_ENCODER = json.JSONEncoder(sort_keys=True, ensure_ascii=True, allow_nan=False, separators=(",", ":"))


def canonical(value: Any) -> str:
    """JSON with sorted keys, no blanks, pure ASCII: equal content gives equal text, on any machine.

    Raises ValueError for what JSON cannot hold: NaN, infinity, keys that are not text, objects.
    """
    _check(value)
    return _ENCODER.encode(value)


def _check(value: Any) -> None:
    """Refuse what JSON would take and give back as something else: tuples, numbers as keys."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if not isinstance(key, str):
                raise ValueError(f"a key must be text, not {key!r}")
            _check(inner)
    elif isinstance(value, list):
        for inner in value:
            _check(inner)
    elif not (value is None or isinstance(value, str | int | float)):
        raise ValueError(f"{type(value).__name__} is no plain data: {value!r}")


def text_of(body: Body | None) -> str | None:
    """A body as it is kept; None stays None."""
    return None if body is None else canonical(body)


def body_of_text(text: str | None) -> Body | None:
    """The body of a kept text. Raises ValueError if it is no table in JSON."""
    if text is None:
        return None
    body = json.loads(text)
    if not isinstance(body, dict):
        raise ValueError("not a table")
    return body


def checksum(*parts: str | int | None) -> str:
    """SHA-256, in hexadecimal, over the canonical JSON of a row's parts.

    Raises TypeError or ValueError for a part that no such row can have.
    """
    return hashlib.sha256(_ENCODER.encode(parts).encode("ascii")).hexdigest()
