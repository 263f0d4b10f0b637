"""Settings cards in words: every line, value, reason, warning and caution as a sentence or a row."""

from __future__ import annotations

from dataclasses import dataclass
from string import ascii_uppercase

from queueplanner.exchange.card_words import CAUTIONS, GROUPS, LINES, VALUES, WHYS, Template
from queueplanner.exchange.wording import sentence
from queueplanner.makeready.card_lines import CardLine, Cautions, SettingsCard
from queueplanner.makeready.reasons import Reason


def line_name(line: CardLine) -> str:
    """What a line is called, with its unit where it has one."""
    name = LINES[line.key].name
    facts = dict(line.why.facts)
    if line.key == "own_scale":
        name = str(facts["name"])
    elif line.key == "own_step":
        name = "This press"
    return name if line.unit is None else f"{name}, unit {line.unit}"


def instruction(line: CardLine) -> str:
    """What to do: short, imperative, one line."""
    if line.key == "own_step":
        return str(dict(line.why.facts)["text"])
    if line.key == "detector_procedure" and line.now is not None and line.now.code == "word":
        return "Set it as this press wants it"
    if line.key == "air" and line.changed and line.now is not None and line.before is not None:
        thicker = dict(line.now.facts)["caliper"] > dict(line.before.facts)["caliper"]  # type: ignore[operator]
        return f"{LINES['air'].do}; begin with {'more' if thicker else 'less'} than before"
    return LINES[line.key].do


def value_text(value: Reason | None) -> str:
    """How a value reads; empty for none. Raises KeyError for a code that has no wording."""
    return "" if value is None else _filled(VALUES[value.code], value)


def why_text(reason: Reason) -> str:
    """Why a line reads so, or a card's warning, as one clause. Raises KeyError for a code that has no wording."""
    template = WHYS.get(reason.code)
    return sentence(reason) if template is None else _filled(template, reason)


def caution_text(cautions: Cautions) -> str:
    """The cautions in words; empty for none."""
    return " ".join(CAUTIONS[caution] for caution in cautions)


def _filled(template: Template, reason: Reason) -> str:
    facts = dict(reason.facts)
    return template(facts) if callable(template) else template.format_map(facts)


@dataclass(frozen=True, slots=True)
class CardRow:
    """A line of the card in words. `before` is empty where unknown, `now` for a step; `cautions` one by one."""

    group: str
    name: str
    now: str
    before: str
    changed: bool
    do: str
    why: str
    caution: str
    cautions: tuple[str, ...] = ()

    @property
    def value(self) -> str:
        """What it is now, after what it was where that changes; empty for a step."""
        moved = self.changed and self.now and self.before and self.before != self.now
        return f"{self.before} → {self.now}" if moved else self.now

    @property
    def reason(self) -> str:
        """Why, as a sentence."""
        return f"{self.why[:1].upper()}{self.why[1:]}." if self.why else ""


def caution_letters(card: SettingsCard, *, changes_only: bool = False) -> dict[str, str]:
    """Every caution of a card's lines once, with the letter that stands for it."""
    lines = card.changes if changes_only else card.lines
    texts = dict.fromkeys(CAUTIONS[caution] for line in lines for caution in line.cautions)
    return dict(zip(texts, ascii_uppercase, strict=False))


def card_rows(card: SettingsCard, *, changes_only: bool = False) -> tuple[CardRow, ...]:
    """A card's lines in words, in working order; those that change alone, if wanted."""
    return tuple(
        CardRow(
            group=GROUPS[line.group],
            name=line_name(line),
            now=value_text(line.now),
            before=value_text(line.before),
            changed=line.changed,
            do=instruction(line),
            why=why_text(line.why),
            caution=caution_text(line.cautions),
            cautions=tuple(CAUTIONS[caution] for caution in line.cautions),
        )
        for line in (card.changes if changes_only else card.lines)
    )
