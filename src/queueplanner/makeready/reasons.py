"""Why a task comes, or what a plan wants said: a code and its facts; the sentence is made at the edge."""

from __future__ import annotations

from dataclasses import dataclass

Fact = str | int | float | tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Reason:
    """A code from the wording table and the facts its sentence is made of."""

    code: str
    facts: tuple[tuple[str, Fact], ...] = ()

    @classmethod
    def of(cls, code: str, **facts: Fact) -> Reason:
        """A reason with its facts given by name."""
        return cls(code, tuple(facts.items()))
