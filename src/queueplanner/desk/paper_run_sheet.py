"""The run sheet: the day at a glance, then every changeover with its tasks, inks and times."""

from __future__ import annotations

from collections.abc import Iterator

from queueplanner.desk.figures import Figures
from queueplanner.desk.paper_flow import Block, Section, table
from queueplanner.desk.paper_marks import Face, Piece, beside, padded, space, stack, words
from queueplanner.desk.paper_pass import due_text, idle_or, ink_in, late_tag, times_row, work_row
from queueplanner.desk.paper_size import mm
from queueplanner.desk.paper_tasks import task_rows, wash_rows
from queueplanner.desk.paper_words import Columns, caution_name, list_of, pauses, span, title_of, tr
from queueplanner.desk.wording import claim_text, reason_text
from queueplanner.exchange.card_words import CAUTIONS
from queueplanner.exchange.wording import task_cautions
from queueplanner.planning.plan import Evening, Plan, PlannedPass

#: The ground behind the head of a changeover: light enough to be written on.
_GROUND = 0.93


def run_sheet(plan: Plan, figures: Figures, width: float) -> Section:
    """The run sheet of a plan on pages so wide between the margins, in units."""
    sheet = _RunSheet(plan, figures, width)
    return Section(tr("Run sheet"), (sheet.summary(), sheet.overview(), sheet.cautions(), *sheet.changeovers()))


class _RunSheet:
    """Makes the blocks of one plan."""

    def __init__(self, plan: Plan, figures: Figures, width: float) -> None:
        self.plan, self.figures, self.width = plan, figures, width

    # The day at a glance

    def summary(self) -> Block:
        """The day, the press, the sums and the claim."""
        f, plan = self.figures, self.plan
        rows = [
            words(f.long_day(plan.start), Face.TITLE, self.width),
            words(plan.press_name, Face.HEAD, self.width),
            space(1.5),
            *(words(text, Face.BODY, self.width) for text in self._sums()),
            words(claim_text(plan.claim), Face.BODY, self.width),
            *(words(tr("Note: {text}").format(text=reason_text(n)), Face.BODY, self.width) for n in plan.notes),
        ]
        return Block(tuple(rows))

    def _sums(self) -> Iterator[str]:
        f, totals = self.figures, self.plan.totals
        evening = sum(evening.seconds for evening in self.plan.evenings)
        yield tr(
            "Make-ready {ready}, of it {evening} in the evening · running {run} · waiting {wait} · last run ends {end}"
        ).format(
            ready=_unbroken(f.hours_minutes(totals.makeready_seconds)),
            evening=_unbroken(f.hours_minutes(evening)),
            run=_unbroken(f.hours_minutes(totals.run_seconds)),
            wait=_unbroken(f.hours_minutes(totals.waiting_seconds)),
            end=_unbroken(f"{f.short_day(totals.end)} {f.clock(totals.end)}"),
        )
        yield tr("Wash-ups {ups} ({washes} washes) · plates put on {plates} · feeder set anew {feeder}").format(
            ups=f.count(totals.wash_ups),
            washes=f.count(totals.washes),
            plates=f.count(totals.plate_swaps),
            feeder=f.count(totals.feeder_resets),
        )
        late = tr("Late passes {n}, together {time}").format(
            n=f.count(totals.late_passes), time=f.hours_minutes(totals.late_seconds)
        )
        yield late if totals.late_passes else tr("No job is late.")

    def overview(self) -> Block:
        """One row a pass."""
        columns = Columns.of(self.width, (8, 27, 26, 0, 38, 37), right={0})
        heads = [tr("No."), tr("Make-ready"), tr("Run"), tr("Pass"), tr("Inks, unit 1 and 2"), tr("Due")]
        rows: list[Piece] = []
        day = ""
        for number, planned in enumerate(self.plan.passes, 1):
            today = self.figures.long_day(planned.makeready_start)
            if today != day:
                rows.append(stack([space(0.8), words(today, Face.STRONG, self.width)]))
                day = today
            rows.append(self._overview_row(number, planned, columns))
        return table(heads, rows, columns.head, 3)

    def _overview_row(self, number: int, planned: PlannedPass, columns: Columns) -> Piece:
        f, p = self.figures, planned
        wide = columns.widths
        inks = stack([idle_or(ink_in(p, unit), wide[4]) for unit in (1, 2)])
        late = late_tag(p, f, wide[5])
        due = [words(due_text(p, f), Face.BODY, wide[5])] + ([late] if late is not None else [])
        return columns.row(
            [
                str(number),
                self._ready_cell(p, wide[1]),
                words(span(p.run_start, p.run_end, f), Face.STRONG, wide[2]),
                words(title_of(p), Face.BODY, wide[3]),
                inks,
                stack(due),
            ]
        )

    def _ready_cell(self, planned: PlannedPass, width: float) -> Piece:
        """When make-ready begins, and its minutes."""
        minutes = tr("{n} min").format(n=self.figures.minutes(planned.makeready_seconds))
        start = words(self.figures.clock(planned.makeready_start), Face.STRONG, mm(11))
        return beside([start, words(minutes, Face.SMALL, width - mm(11), right=True)])

    def cautions(self) -> Block:
        """What the words in brackets stand for."""
        tasks = [task for planned in self.plan.passes for task in planned.tasks]
        tasks += [task for evening in self.plan.evenings for task in evening.tasks]
        used = dict.fromkeys(caution for task in tasks for caution in task_cautions(task))
        told = [(caution_name(caution), CAUTIONS[caution]) for caution in CAUTIONS if caution in used]
        note = tr(
            "Reminders only: your local codes, the safety data sheets and the press's own manual come first, also "
            "where nothing stands in brackets."
        )
        rows = [words(tr("Cautions, in brackets at each task"), Face.STRONG, self.width)]
        rows += list_of(told, self.width, 20)
        return Block((*rows, words(note, Face.SMALL, self.width)), gap_mm=4)

    # Changeovers

    def changeovers(self) -> Iterator[Block]:
        """A block for every pass, and for every evening in its place."""
        evenings = list(self.plan.evenings)
        for number, planned in enumerate(self.plan.passes, 1):
            while evenings and evenings[0].start <= planned.makeready_start:
                yield self._evening(evenings.pop(0))
            yield self._changeover(number, planned)
        for evening in evenings:
            yield self._evening(evening)

    def _changeover(self, number: int, planned: PlannedPass) -> Block:
        again = words(tr("{pass_}, continued").format(pass_=title_of(planned)), Face.STRONG, self.width)
        rows = [self._head(number, planned), space(1), work_row(self.plan, planned, self.figures, self.width), space(1)]
        rows += [*self._remarks(planned), *task_rows(planned.tasks, self.width, self.figures)]
        if any(task.task == "wash_rollers" for task in planned.tasks):
            rows += [space(0.8), *wash_rows(planned.tasks, self.width)]
        return Block(tuple(rows), again=again, gap_mm=5)

    def _head(self, number: int, planned: PlannedPass) -> Piece:
        inner = self.width - 2 * mm(2)
        late = late_tag(planned, self.figures, mm(50), Face.HEAD)
        columns = Columns.of(inner, (12, 0) if late is None else (12, 0, 50))
        cells = [
            words(str(number), Face.TITLE, columns.widths[0]),
            words(title_of(planned), Face.KEY, columns.widths[1]),
        ]
        title = columns.row([*cells, *([] if late is None else [late])])
        times = beside([Piece(mm(12), 0), times_row(planned, self.figures, inner - mm(14))], 2)
        return padded(stack([title, times], 0.3), 2, 1.3, grey=_GROUND)

    def _remarks(self, planned: PlannedPass) -> Iterator[Piece]:
        f = self.figures
        told = [tr("Make-ready rests {time}.").format(time=t) for t in pauses(planned.makeready_pieces, f)]
        told += [tr("The run pauses {time}.").format(time=t) for t in pauses(planned.run_pieces, f)]
        if planned.waits_seconds:
            wait = f.hours_minutes(planned.waits_seconds)
            told.append(tr("After make-ready the run waits {time}.").format(time=wait))
        told += [tr("Note: {text}").format(text=reason_text(warning)) for warning in planned.warnings]
        if planned.started:
            told.append(tr("On the press when this was made; the times are those of what is left."))
        for text in told:
            yield words(text, Face.STRONG, self.width)

    def _evening(self, evening: Evening) -> Block:
        f = self.figures
        day = f.long_day(evening.start)
        if not evening.tasks:
            text = tr("Evening of {day}: nothing to wash").format(day=day)
            return Block((padded(words(text, Face.HEAD, self.width - 2 * mm(2)), 2, 1.2, grey=_GROUND),), gap_mm=5)
        text = tr("Evening of {day}, {time}, {n} min").format(
            day=day, time=span(evening.start, evening.end, f), n=f.minutes(evening.seconds)
        )
        head = padded(words(text, Face.KEY, self.width - 2 * mm(2)), 2, 1.5, grey=_GROUND)
        tasks = evening.tasks
        rows = [head, space(1), *task_rows(tasks, self.width, f), space(0.8), *wash_rows(tasks, self.width)]
        return Block(tuple(rows), again=words(text, Face.STRONG, self.width), gap_mm=5)


def _unbroken(text: str) -> str:
    """A figure that is not broken over two lines."""
    return text.replace(" ", "\u00a0")
