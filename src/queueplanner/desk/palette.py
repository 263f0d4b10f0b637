"""The desk's own colours: a light and a dark set of named tokens, near to grey so that the inks carry the picture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours by what they are for, each "#rrggbb".

    `window` lies behind everything, `surface` under text and pictures, `sunken` under heads and closed hours, `track`
    is the bed of the ink ribbons. `text`, `soft` (secondary text) and `mark` (lines that carry meaning) are made to be
    read on the first three. `hair` only separates and carries no meaning. `bar` is a run, `comb` make-ready, `water`
    washing, `late` lateness, `good` a saving; `focus` rings what the keys act on; `picked` tints the selected pass.
    `ring_out` and `ring_in` are the two tones that outline every ink.
    """

    name: str
    window: str
    surface: str
    sunken: str
    track: str
    text: str
    soft: str
    mark: str
    hair: str
    bar: str
    on_bar: str
    comb: str
    water: str
    late: str
    good: str
    focus: str
    picked: str
    button: str
    on_button: str
    ring_out: str
    ring_in: str


LIGHT = Palette(
    name="light",
    window="#eef0f2",
    surface="#ffffff",
    sunken="#e4e7ea",
    track="#eaedf0",
    text="#171c20",
    soft="#4a545c",
    mark="#6f7981",
    hair="#d3d8dc",
    bar="#39444d",
    on_bar="#ffffff",
    comb="#75808a",
    water="#1668ad",
    late="#bd1f1a",
    good="#3c6f49",
    focus="#0b57d0",
    picked="#dde8f7",
    button="#222b32",
    on_button="#ffffff",
    ring_out="#39444d",
    ring_in="#ffffff",
)

DARK = Palette(
    name="dark",
    window="#14171a",
    surface="#1c2024",
    sunken="#282d32",
    track="#3a4249",
    text="#eceff1",
    soft="#b4bdc4",
    mark="#8d979f",
    hair="#363d43",
    bar="#a9b5be",
    on_bar="#14171a",
    comb="#7d8891",
    water="#5aa9ee",
    late="#ff7a70",
    good="#b4e6a2",
    focus="#7fb2ff",
    picked="#2a3a50",
    button="#e3e8eb",
    on_button="#14171a",
    ring_out="#c3ccd3",
    ring_in="#14171a",
)

PALETTES = (LIGHT, DARK)


def luminance(colour: str) -> float:
    """Relative luminance of "#rrggbb", 0 black to 1 white (WCAG 2.2)."""
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2). `contrast("#000000", "#ffffff")` is 21."""
    low, high = sorted((luminance(first), luminance(second)))
    return (high + 0.05) / (low + 0.05)


def readable_on(background: str) -> str:
    """Black or white, whichever is read better on a colour; never under 4.5 to 1."""
    return max("#000000", "#ffffff", key=lambda c: contrast(c, background))


def text_pairs(palette: Palette) -> Iterator[tuple[str, str]]:
    """Every pair (text, ground) the desk writes with."""
    p = palette
    for ground in (p.window, p.surface, p.sunken, p.picked):
        for text in (p.text, p.soft):
            yield text, ground
    for ground in (p.window, p.surface, p.picked):
        for text in (p.late, p.good, p.water):
            yield text, ground
    yield p.on_bar, p.bar
    yield p.on_button, p.button


def mark_pairs(palette: Palette) -> Iterator[tuple[str, str]]:
    """Every pair (mark, ground) whose edge carries meaning."""
    p = palette
    for ground in (p.window, p.surface, p.sunken, p.picked):
        for mark in (p.mark, p.bar, p.comb, p.water, p.late, p.focus, p.ring_out):
            yield mark, ground
    for mark in (p.water, p.ring_out):
        yield mark, p.track
    yield p.button, p.window
    yield p.ring_in, p.ring_out
