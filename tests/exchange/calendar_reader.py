"""A small reader of calendars, written from RFC 5545 alone, to read back what was written."""

from __future__ import annotations

import re

Event = dict[str, str]


def unfolded(text: str) -> list[str]:
    """The content lines of a calendar: folds taken out, every line ended by CR LF."""
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    return re.sub("\r\n[ \t]", "", text).removesuffix("\r\n").split("\r\n")


def plain(value: str) -> str:
    """A text value without its escapes. Fails on one that escapes nothing, and on a bare comma or semicolon."""
    read, rest = [], iter(value)
    for letter in rest:
        if letter == "\\":
            escaped = next(rest)
            assert escaped in "\\;,nN", value
            read.append("\n" if escaped in "nN" else escaped)
        else:
            assert letter not in ",;", value
            read.append(letter)
    return "".join(read)


def events(text: str) -> list[Event]:
    """The events of a calendar, each property once, its value still escaped."""
    lines = unfolded(text)
    assert (lines[0], lines[-1]) == ("BEGIN:VCALENDAR", "END:VCALENDAR")
    read: list[Event] = []
    inside = False
    for line in lines[1:-1]:
        name, _, value = line.partition(":")
        if line == "BEGIN:VEVENT":
            assert not inside
            inside = True
            read.append({})
        elif line == "END:VEVENT":
            assert inside
            inside = False
        elif inside:
            assert name not in read[-1], name
            assert re.fullmatch("[A-Z-]+", name)
            read[-1][name] = value
    assert not inside
    return read
