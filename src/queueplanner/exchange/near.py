"""What somebody may have meant: the nearest of the names that exist."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from difflib import get_close_matches

_MOST_LISTED = 12


def folded(text: str) -> str:
    """A name without what people do not see as a difference: capitals, Unicode form, doubled spaces."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def suggestion(found: str, known: Iterable[str], kind: str) -> str:
    """What would be right instead of an unknown name: the near ones, else all of a few, else their number."""
    names = {folded(name): name for name in known}
    near = get_close_matches(folded(found), names, n=3, cutoff=0.6)
    if near:
        return f"did you mean {' or '.join(names[n] for n in near)}?"
    if not names:
        return f"there is no {kind}"
    if len(names) <= _MOST_LISTED:
        return f"write one of: {', '.join(names.values())}"
    return f"none of the {len(names)} names in use is near it"


def shown(text: object, most: int = 60) -> str:
    """A value as an error message shows it: in quotes, on one line, and not endless."""
    line = " ".join(str(text).split())
    visible = "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in line)
    return f"'{visible[:most]}…'" if len(visible) > most else f"'{visible}'"
