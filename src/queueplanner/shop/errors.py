"""Everything the program can refuse, as types with the facts in fields.

    QueueplannerError
    ├── BadInput          a file or table that cannot be taken in; carries every Problem found
    ├── Refused           a pass this press cannot run as described
    └── NoPlan            hard rules that contradict each other, or a run no working day can hold

The sentence a person reads is made at the edge, from these fields.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with an input: where it stands, what was found and what would be right."""

    file: str
    row: int | None
    column: str | None
    found: str
    wanted: str

    def __str__(self) -> str:
        place = self.file
        if self.row is not None:
            place += f", row {self.row}"
        if self.column is not None:
            place += f", column '{self.column}'"
        return f"{place}: found {self.found}; {self.wanted}"


class QueueplannerError(Exception):
    """The root of all errors of the program's own making."""


class BadInput(QueueplannerError):
    """An input that cannot be taken in; nothing of it has been."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__("\n".join(str(p) for p in self.problems))


class Refused(QueueplannerError):
    """A pass the press cannot run.

    `field` is the job-list column at fault, `found` its value, `wanted` what the press can do.
    """

    def __init__(self, pass_id: str, field: str, found: str, wanted: str) -> None:
        self.pass_id, self.field, self.found, self.wanted = pass_id, field, found, wanted
        super().__init__(f"pass {pass_id}: {field}: found {found}; {wanted}")


class NoPlan(QueueplannerError):
    """No order meets a hard rule. `passes` are the ones involved, `rule` a short name, `detail` the facts."""

    def __init__(self, rule: str, passes: Sequence[str], detail: str) -> None:
        self.rule, self.passes, self.detail = rule, tuple(passes), detail
        super().__init__(f"{rule} ({', '.join(self.passes)}): {detail}")
