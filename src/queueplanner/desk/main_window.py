"""The scheduler's window: menus and buttons, and whichever view the day's state asks for."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSettings, Qt
from PySide6.QtGui import (
    QAccessible,
    QAccessibleAnnouncementEvent,
    QAction,
    QActionGroup,
    QCloseEvent,
    QKeySequence,
    QResizeEvent,
)
from PySide6.QtWidgets import QApplication, QFileDialog, QMainWindow, QScrollArea, QStackedWidget, QVBoxLayout, QWidget
from typing_extensions import override

from queueplanner.desk.commands import Act, Command, commands, menu_titles
from queueplanner.desk.day_loader import LoadedDay, load_day
from queueplanner.desk.day_model import Change, DayModel, DayState, Shown
from queueplanner.desk.day_work import DayWork, Load
from queueplanner.desk.empty_panel import EmptyPanel
from queueplanner.desk.header_bar import HeaderBar
from queueplanner.desk.keys_panel import KeysDialog
from queueplanner.desk.order_actions import OF_A_PASS, OrderActions
from queueplanner.desk.order_menu import OrderMenu
from queueplanner.desk.planning_worker import Planner
from queueplanner.desk.problem_panel import ProblemPanel
from queueplanner.desk.theme import TEXT_SIZES, Appearance, Theme, apply_theme, make_theme
from queueplanner.desk.wash_book import WashBook

if TYPE_CHECKING:
    from queueplanner.desk.day_view import DayView
    from queueplanner.desk.paper_dialog import PaperDialog
    from queueplanner.desk.record_opening import Opened
    from queueplanner.desk.wash_window import WashWindow
    from queueplanner.planning.instance import Instance
    from queueplanner.planning.order_rules import OrderRules

#: How much one step of zoom magnifies.
ZOOM_STEP = 1.25
#: The window's size on a screen that has room for it, px.
_SIZE = (1680, 1050)
#: A window lower than this, at the usual text size, shows its totals in one line each, px.
_COMPACT_BELOW_PX = 780


def load_for_today(path: Path, day: date | None, folder: Path | None = None) -> LoadedDay:
    """A day as the files give it, with the computer's clock; `folder` holds the shop's own."""
    import queueplanner.desk.day_view  # noqa: F401 - loaded here, in the thread of the work, not in the window's

    return load_day(path, day, lambda: datetime.now().astimezone(), folder)


class MainWindow(QMainWindow):
    """One day on the desk. `settings` keeps size, place and looks between sessions; without it nothing is kept.

    `shop_folder` holds the shop's own files; without it everything is the demo shop's.
    """

    def __init__(
        self,
        settings: QSettings | None = None,
        load: Load | None = None,
        planner: Planner | None = None,
        shop_folder: Path | None = None,
    ) -> None:
        super().__init__()
        self._settings = settings
        self._scale, self._appearance = self._kept_looks()
        self._theme = make_theme(self._appearance, self._scale)
        self._keys: KeysDialog | None = None
        self.model = DayModel()
        self.book = WashBook(shop_folder)
        self._washes: WashWindow | None = None
        self.work = DayWork(self.model, load or (lambda path, at: load_for_today(path, at, shop_folder)), planner)
        self._shop_folder = shop_folder
        self._place: Path | str | None = None
        self._has_record = False
        self._after_opening: Callable[[], None] | None = None
        self.order_actions = OrderActions(self.work, self.model, self, lambda: self._theme)
        self.header = HeaderBar(self._theme)
        self._day_view: DayView | None = None
        self._carried_in: tuple[Instance, OrderRules] | None = None
        self.empty = EmptyPanel(self._theme)
        self.problems = ProblemPanel(self._theme)
        self.actions_of: dict[Act, QAction] = {}
        self._lay_out()
        self._make_menus()
        self._connect()
        self._restore()
        self._refresh()

    # What can be done

    def open_list(self, path: Path, day: date | None = None, *, then_plan: bool = False) -> None:
        """Open a job list for a day, else for the next working day."""
        self.work.open(path, day, then_plan=then_plan)

    def choose_list(self) -> None:
        """Let the user choose a job list and open it."""
        folder = str(self.model.source.parent) if self.model.source else ""
        chosen, _ = QFileDialog.getOpenFileName(
            self, self.tr("Open job list"), folder, self.tr("Job lists (*.csv);;All files (*)")
        )
        if chosen:
            self.open_list(Path(chosen))

    def open_record(
        self,
        place: Path | str | None = None,
        then: Callable[[], None] | None = None,
        *,
        demo: bool = True,
        restore: bool = False,
    ) -> None:
        """Open the record at a path or address, else at the user's own place; what is done then lives in it.

        With `demo` a new record begins with the demo day; `then` is done once the record is open. `restore` first puts
        the backup in its place that was offered when it was found damaged.
        """
        self._place, self._has_record, folder = place, True, self._shop_folder
        self._after_opening = then
        backup = self.work.backup if restore else None

        def open_it() -> Opened:
            import queueplanner.desk.day_view  # noqa: F401 - loaded in the thread of the work, not in the window's
            from queueplanner.desk.record_opening import open_desk

            return open_desk(place, lambda: datetime.now().astimezone(), folder=folder, demo=demo, backup=backup)

        self.work.open_record(open_it, then)

    @property
    def shows_demo(self) -> bool:
        """Whether the demo day is on the desk."""
        return self.work.desk is not None and self.work.desk.board.is_demo

    def open_demo(self, *, then_plan: bool = False) -> None:
        """Open the demo day, and plan it if asked and it has not been."""
        from queueplanner.exchange.demo import DEMO_DAY, demo_jobs

        desk = self.work.desk
        if desk is not None:
            from queueplanner.desk.record_opening import put_demo

            there = self.shows_demo or desk.answered(put_demo(desk.board))
            if there and then_plan and len(desk.board.orders) == 1:
                self.work.plan()
            return
        self.open_list(demo_jobs(), DEMO_DAY)

    def start_own_day(self) -> None:
        """Take the demo day off the desk, and put the next working day on it."""
        if self.work.desk is not None:
            self.work.desk.start_own_day()

    def _try_again(self) -> None:
        """After something could not be opened: the record, or else the list, once more."""
        if self._has_record and self.work.desk is None:
            self.open_record(self._place, self._after_opening)
        else:
            self.work.open_again()

    def set_looks(self, appearance: Appearance, scale: float) -> None:
        """Change colours and text size."""
        self._appearance, self._scale = appearance, scale
        self._theme = make_theme(appearance, scale)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        apply_theme(app, self._theme)
        for part in (self.header, self.empty, self.problems):
            part.set_theme(self._theme)
        if self._day_view is not None:
            self._day_view.set_theme(self._theme)
        if self._washes is not None:
            self._washes.set_theme(self._theme)
        self._fit_totals()
        self._check_looks()

    @property
    def day_view(self) -> DayView:
        """The view of a day, made when it is first wanted."""
        if self._day_view is None:
            from queueplanner.desk.day_view import DayView

            self._day_view = DayView(self.model, self._theme)
            timeline = self._day_view.timeline
            timeline.dropped.connect(lambda p, place: self.order_actions.drop(p, place, timeline.carrier.units))
            timeline.set_clock(time.time)
            self._day_view.key.setVisible(self.actions_of[Act.KEY].isChecked())
            self._day_view.order.addActions([self.actions_of[act] for act in OF_A_PASS])
            self._day_view.order.pin_wanted.connect(self.actions_of[Act.PIN].trigger)
            self._scroll.setWidget(self._day_view)
            self._fit_totals()
        return self._day_view

    @property
    def theme(self) -> Theme:
        """The looks of the moment."""
        return self._theme

    # Building

    def _lay_out(self) -> None:
        size = self._theme.size
        self._scroll = QScrollArea()
        self._scroll.setWidgetResizable(True)
        self._scroll.setProperty("look", "bare")
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._scroll.setAccessibleName(self.tr("The day"))
        self.views = QStackedWidget()
        for view in (self.empty, self.problems, self._scroll):
            self.views.addWidget(view)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(size(20), size(12), size(20), size(16))
        column.setSpacing(size(14))
        column.addWidget(self.header)
        column.addWidget(self.views, 1)
        self.setCentralWidget(body)
        self.setMinimumSize(640, 480)
        room = self.screen().availableSize()
        self.resize(min(_SIZE[0], round(room.width() * 0.94)), min(_SIZE[1], round(room.height() * 0.94)))

    def _make_menus(self) -> None:
        menus = {menu: self.menuBar().addMenu(title) for menu, title in menu_titles().items()}
        self.menuBar().setAccessibleName(self.tr("Menus"))
        groups: dict[str, QActionGroup] = {}
        for command in commands():
            action = self._make_action(command)
            if command.group:
                action.setCheckable(True)
            if command.group in ("shown", "look"):
                group = groups.setdefault(command.group, QActionGroup(self))
                group.addAction(action)
            if command.gap_before:
                menus[command.menu].addSeparator()
            menus[command.menu].addAction(action)
            self.actions_of[command.act] = action
            if command.act is Act.SHOW_RECEIVED:
                self._orders = OrderMenu(menus[command.menu], self.order_actions)
        self.actions_of[Act.KEY].setChecked(True)
        self._check_looks()

    def _make_action(self, command: Command) -> QAction:
        action = QAction(command.text, self)
        action.setShortcuts([QKeySequence(keys) for keys in command.keys])
        action.setData(command)
        action.triggered.connect(self._handlers()[command.act])
        return action

    def _handlers(self) -> dict[Act, object]:
        model = self.model
        return {
            Act.OPEN: self.choose_list,
            Act.REOPEN: self.work.open_again,
            Act.DEMO: self.open_demo,
            Act.OWN_DAY: self.start_own_day,
            Act.QUIT: self.close,
            Act.PLAN: self.work.plan,
            Act.STOP: self.work.stop,
            Act.SHOW_PLANNED: lambda: self.work.show(Shown.PLANNED),
            Act.SHOW_RECEIVED: lambda: self.work.show(Shown.AS_RECEIVED),
            Act.NEXT: lambda: model.step(1),
            Act.PREVIOUS: lambda: model.step(-1),
            Act.ZOOM_IN: lambda: self._zoom(ZOOM_STEP),
            Act.ZOOM_OUT: lambda: self._zoom(1 / ZOOM_STEP),
            Act.WHOLE_DAY: lambda: self._zoom(0),
            Act.KEY: self._show_key,
            Act.LARGER: lambda: self._change_text(1),
            Act.SMALLER: lambda: self._change_text(-1),
            Act.SYSTEM: lambda: self.set_looks(Appearance.SYSTEM, self._scale),
            Act.LIGHT: lambda: self.set_looks(Appearance.LIGHT, self._scale),
            Act.DARK: lambda: self.set_looks(Appearance.DARK, self._scale),
            Act.KEYS: self._show_keys,
            Act.CARD: self._show_card,
            Act.MATERIALS: self._show_materials,
            Act.WASHES: self.show_washes,
            Act.SAVE_PAPERS: lambda: self.show_papers(printing=False),
            Act.PRINT: lambda: self.show_papers(printing=True),
            **self.order_actions.handlers(),
        }

    def _connect(self) -> None:
        self.header.open_wanted.connect(self.choose_list)
        self.header.plan_wanted.connect(self.work.plan)
        self.header.stop_wanted.connect(self.work.stop)
        self.header.shown_wanted.connect(self.work.show)
        self.header.own_day_wanted.connect(self.start_own_day)
        self.empty.open_wanted.connect(self.choose_list)
        self.empty.demo_wanted.connect(self.open_demo)
        self.problems.again_wanted.connect(self._try_again)
        self.problems.back_wanted.connect(self._back_to_the_day)
        self.problems.backup_wanted.connect(self._put_backup_back)
        self.model.listen(self._follow)
        self.book.listen(self._wash_changed)
        QApplication.styleHints().colorSchemeChanged.connect(self._system_changed)

    # Following the model

    def _follow(self, change: Change) -> None:
        if change is Change.PICK:
            self._refresh_actions()
            return
        self._refresh()
        if change is Change.STATE:
            self._announce()

    def _refresh(self) -> None:
        model = self.model
        self.header.refresh(model, self.work.seconds)
        self._refresh_actions()
        self.setWindowTitle(f"{model.source.name} – queueplanner" if model.source else "queueplanner")
        self._choose_view()
        self._let_passes_be_carried()
        if self._washes is not None:
            self._washes.set_locked(model.state in (DayState.LOADING, DayState.PLANNING))

    def _refresh_actions(self) -> None:
        model = self.model
        for action in self.actions_of.values():
            command = action.data()
            assert isinstance(command, Command)
            action.setEnabled(model.state in command.when and self._has_what_it_shows(command.act))
        self.actions_of[Act.SHOW_PLANNED].setChecked(model.shown is Shown.PLANNED)
        self.actions_of[Act.SHOW_RECEIVED].setChecked(model.shown is Shown.AS_RECEIVED)
        self.order_actions.refresh(self.actions_of)
        self._orders.refresh(self.order_actions.board)

    def _back_to_the_day(self) -> None:
        if self.work.desk is not None:
            self.work.desk.follow()

    def _put_backup_back(self) -> None:
        """Put the newest whole backup in the damaged record's place, and open it."""
        self.open_record(self._place, restore=True)

    def _has_what_it_shows(self, act: Act) -> bool:
        if act in (Act.SHOW_PLANNED, Act.SHOW_RECEIVED):
            return self.model.best is not None
        return act is not Act.REOPEN or self.model.source is not None

    def _choose_view(self) -> None:
        model = self.model
        if model.state is DayState.ERROR:
            desk = self.work.desk
            self.problems.show_problems(
                model.problems, model.failure, record=self._has_record and desk is None,
                back=desk is not None, backup=self.work.backup is not None,
            )  # fmt: skip
            self.views.setCurrentWidget(self.problems)
        elif model.plan is not None:
            self.day_view.show_all()
            if self.views.currentWidget() is not self._scroll:
                self.views.setCurrentWidget(self._scroll)
                self.day_view.timeline.setFocus()
        else:
            if model.state is DayState.LOADING:
                self.empty.show_loading("" if model.source is None else model.source.name)
            else:
                self.empty.show_empty(model.board)
            self.views.setCurrentWidget(self.empty)

    def _let_passes_be_carried(self) -> None:
        """On the timeline passes can be carried to other places while a record is open and nothing is being planned."""
        if self._day_view is None:
            return
        board, busy = self.order_actions.board, self.model.state in (DayState.LOADING, DayState.PLANNING)
        before = self._carried_in
        if board is None or busy or not board.order:
            self._carried_in = None
            self._day_view.timeline.set_instance(None)
        elif before is None or before[0] is not board.state.base or before[1] != board.rules:
            self._carried_in = board.state.base, board.rules
            self._day_view.timeline.set_instance(board.instance)

    def _announce(self) -> None:
        """Tell assistive technology what has happened, without moving the focus."""
        text = self.header.state.text() or self.windowTitle()
        if self.model.state is DayState.ERROR:
            text = self.problems.title_text(len(self.model.problems))
        QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, text))

    # Looks and memory

    def _change_text(self, way: int) -> None:
        sizes = list(TEXT_SIZES)
        nearest = min(range(len(sizes)), key=lambda i: abs(sizes[i] - self._scale))
        self.set_looks(self._appearance, sizes[min(len(sizes) - 1, max(0, nearest + way))])

    def _check_looks(self) -> None:
        acts = {Appearance.SYSTEM: Act.SYSTEM, Appearance.LIGHT: Act.LIGHT, Appearance.DARK: Act.DARK}
        self.actions_of[acts[self._appearance]].setChecked(True)

    def _system_changed(self) -> None:
        if self._appearance is Appearance.SYSTEM:
            self.set_looks(self._appearance, self._scale)

    def _zoom(self, factor: float) -> None:
        """Zoom the timeline; a factor of 0 shows the whole plan."""
        self.day_view.timeline.zoom(factor)

    def _show_key(self, shown: bool) -> None:
        if self._day_view is not None:
            self._day_view.key.setVisible(shown)

    def _show_keys(self) -> None:
        if self._keys is None:
            self._keys = KeysDialog(self._theme, self)
        self._keys.show()
        self._keys.raise_()

    def _show_card(self) -> None:
        self.day_view.show_card()

    def _show_materials(self) -> None:
        self.day_view.show_materials()

    def show_washes(self) -> WashWindow:
        """Open the wash table, or bring it to the front; gives its window."""
        from queueplanner.desk.wash_window import WashWindow

        if self.book.shop is None:
            self.book.read()
        if self._washes is None:
            self._washes = WashWindow(self.book, self._theme, self)
            self._washes.set_locked(self.work.busy)
        self._washes.show()
        self._washes.raise_()
        return self._washes

    def show_papers(self, *, printing: bool = False) -> PaperDialog:
        """Ask what to put on paper, to be saved or printed; gives the dialog."""
        from queueplanner.desk.paper_dialog import PaperDialog

        papers = self.day_view.papers
        dialog = PaperDialog(lambda: papers.on_paper(datetime.now().astimezone()), self._theme, self._settings, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.prefer_printing(printing)
        dialog.open()
        return dialog

    def _wash_changed(self) -> None:
        self.work.rewash(self.book.overrides, keep=self.book.session is not None)

    def _kept_looks(self) -> tuple[float, Appearance]:
        if self._settings is None:
            return 1.0, Appearance.SYSTEM
        kept = str(self._settings.value("appearance", Appearance.SYSTEM.value))
        appearance = Appearance(kept) if kept in set(Appearance) else Appearance.SYSTEM
        try:
            scale = float(str(self._settings.value("text_size", 1.0)))
        except ValueError:
            scale = 1.0
        return (scale if scale in TEXT_SIZES else 1.0), appearance

    def _restore(self) -> None:
        if self._settings is not None:
            geometry = self._settings.value("geometry")
            if geometry is not None:
                self.restoreGeometry(geometry)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_totals()

    def _fit_totals(self) -> None:
        """In a window of little height the totals leave the room to the timeline."""
        if self._day_view is not None:
            self._day_view.totals.set_compact(self.height() < self._theme.size(_COMPACT_BELOW_PX))

    @override
    def closeEvent(self, event: QCloseEvent) -> None:
        if not self.work.close():
            self.work.idle.connect(self.close)
            self.hide()
            event.ignore()
            return
        self.work.close_record()
        if self._settings is not None:
            self._settings.setValue("geometry", self.saveGeometry())
            self._settings.setValue("appearance", self._appearance.value)
            self._settings.setValue("text_size", self._scale)
        event.accept()
