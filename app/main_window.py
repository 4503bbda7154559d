"""The window: three questions with their answers, and below them the page that argues.

The shell (menus, answers, empty page) is made first and painted; the work page, and with it numpy
and the views, follows when the window is idle or a job arrives.
"""

from __future__ import annotations

from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, QTimer
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QPaintEvent
from PySide6.QtWidgets import QMainWindow, QStackedWidget, QVBoxLayout, QWidget

from app import wiring
from app.actions import Actions, Needs
from app.desk import Desk, worst_place
from app.emergency import Emergency
from app.file_commands import FileCommands
from app.opening import SUFFIXES
from app.planner import LazyPlanner, load_the_rest
from app.recovery import Recovery, recovery_folder
from app.regions import focus_next
from app.settings import Settings
from app.status import StatusBar
from app.theme import Theme, ThemeChoice
from app.trial import Trial
from app.views.answers import AnswersBar
from app.views.empty_page import EmptyPage
from app.widgets.notice_bar import NoticeBar
from app.worker import Worker

if TYPE_CHECKING:
    from app.document import Planner
    from app.overlays import Overlays
    from app.plan_commands import PlanCommands
    from app.views.panel_page import PanelPage
    from app.workbench import Workbench

_SMALLEST = (760, 560)
_FIRST_SIZE = (1280, 820)
_PAINT_WORDS = {
    "chip": "chip load",
    "speed": "speed",
    "temperature": "temperature",
    "state": "state",
}
_NOTICE_WORDS = {"recover": "Open them", "save_as": "Save elsewhere\u2026"}


class MainWindow(QMainWindow):
    """One window on one job.

    Parameters
    ----------
    planner, trial_planner : Planner or None
        Plan the job and its trial; None: each a pipeline of its own, loaded when first asked.
    recovery : Recovery or None
        Keeps unsaved work; None: in the user's folder.
    library_folder : Path or None
        The user's own library files.
    """

    def __init__(
        self,
        *,
        planner: Planner | None = None,
        trial_planner: Planner | None = None,
        recovery: Recovery | None = None,
        library_folder: Path | None = None,
    ) -> None:
        super().__init__()
        self.setAcceptDrops(True)
        self.setMinimumSize(*_SMALLEST)
        self.settings = Settings()
        self.theme = Theme(ThemeChoice(self.settings["theme"]), self)
        self.desk = Desk(
            planner or LazyPlanner(library_folder), self.theme, self.settings, library_folder, self
        )
        self.trial = Trial(self.desk, trial_planner or LazyPlanner(library_folder))
        self.files = FileCommands(self.desk, recovery or Recovery(recovery_folder()), self)
        self.emergency = Emergency(self.files.keep, self)
        self.bench: Workbench | None = None
        self.commands: PlanCommands | None = None
        self._has_painted = False
        self._is_by_numbers = False
        self._warm_up = Worker(self)
        self.actions_by_name = Actions(wiring.handlers(self), self)
        self._make_shell()
        self.recent_menu = wiring.make_menus(self)
        wiring.connect(self)
        if not self.restoreGeometry(self.settings.state("window")):
            self.resize(*_FIRST_SIZE)
        self.answers.pick(int(self.settings["question"]))
        self.actions_by_name[f"theme_{self.theme.choice.value}"].setChecked(True)
        self.refresh()

    def _make_shell(self) -> None:
        centre = QWidget()
        box = QVBoxLayout(centre)
        box.setContentsMargins(10, 6, 10, 4)
        box.setSpacing(8)
        self.notice = NoticeBar()
        self.answers = AnswersBar(self.desk, self.trial)
        self.pages = QStackedWidget()
        self.empty_page = EmptyPage(self.actions_by_name, self.settings)
        self.pages.addWidget(self.empty_page)
        box.addWidget(self.notice)
        box.addWidget(self.answers)
        box.addWidget(self.pages, 1)
        self.setCentralWidget(centre)
        self.status = StatusBar(self.desk)
        self.setStatusBar(self.status)

    def work(self) -> Workbench:
        """Return the work page, made when it is first needed."""
        if self.bench is None:
            from app.plan_commands import PlanCommands
            from app.workbench import Workbench

            self.bench = Workbench(self.desk, self.trial, self.actions_by_name)
            self.commands = PlanCommands(self.desk, self.bench)
            self.commands.said.connect(self.status.say)
            wiring.connect_bench(self, self.bench)
            self.pages.addWidget(self.bench)
            self.bench.remember(self.settings.state("across"), self.settings.state("down"))
            self.bench.show_question(int(self.settings["question"]))
            paint = self.bench.sheet.view.paint_by.value
            named = next(name for name, words in _PAINT_WORDS.items() if words == paint)
            self.actions_by_name[f"paint_{named}"].setChecked(True)
        return self.bench

    # what is shown

    def refresh(self) -> None:
        """Bring title, pages, answers and actions up to date."""
        document = self.desk.document
        page = self._page()
        if self.pages.currentWidget() is not page:
            self.empty_page.refresh()
            self.pages.setCurrentWidget(page)
        if document.report is not None and self.desk.contour() is None:
            with QSignalBlocker(self):
                self.desk.selection.set(worst_place(document.report))
        self.setWindowTitle(f"{self.desk.document.name}[*] \u2013 Panewright")
        self.setWindowModified(self.files.is_unsaved)
        self.refresh_actions()

    def _page(self) -> QWidget:
        """Return the page to show; the work page is made with the first job."""
        work = self.empty_page if self.desk.document.is_empty else self.work()
        return self.panel_page if self._is_by_numbers else work

    @cached_property
    def panel_page(self) -> PanelPage:
        """Return the page of a panel by numbers; what is typed there stays."""
        from app.views.panel_page import PanelPage

        page = PanelPage(self.desk)
        wiring.connect_panel(self, page)
        self.pages.addWidget(page)
        return page

    def refresh_actions(self) -> None:
        """Enable what makes sense now, and name what undo and redo would do."""
        document, selection = self.desk.document, self.desk.selection
        stack = document.undo_stack
        self.actions_by_name.enable(
            {
                Needs.JOB: not document.is_empty,
                Needs.PLAN: document.report is not None,
                Needs.BACK: selection.can_go_back,
                Needs.FORWARD: selection.can_go_forward,
                Needs.TRIAL: self.trial.is_open,
                Needs.UNDO: stack.canUndo(),
                Needs.REDO: stack.canRedo(),
            }
        )
        for name, text in (("undo", stack.undoText()), ("redo", stack.redoText())):
            self.actions_by_name[name].setText(f"{name.capitalize()} {text}".strip())

    def on_theme(self) -> None:
        """Colour the icons anew."""
        if self._has_painted:
            self.actions_by_name.colour(self.theme.palette)
        self.actions_by_name[f"theme_{self.theme.choice.value}"].setChecked(True)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint; after the first time, do what could wait for it."""
        super().paintEvent(event)
        if not self._has_painted:
            self._has_painted = True
            QTimer.singleShot(0, self._after_first_paint)

    def _after_first_paint(self) -> None:
        from app.icons import icon
        from app.overlays import program_version

        self.setWindowIcon(icon("program", self.theme.palette.ink))
        self.actions_by_name.colour(self.theme.palette)
        self.status.set_version(program_version())
        self.files.look_for_kept()
        self._warm_up.start(load_the_rest)

    # what the user does

    def show_question(self, number: int) -> None:
        """Show the reasons for an answer."""
        self.settings["question"] = str(number)
        self.answers.pick(number)
        if self.bench is not None:
            self.bench.show_question(number)

    def show_panel(self) -> None:
        """Show the page of a panel by numbers."""
        self._is_by_numbers = True
        self.refresh()
        self.panel_page.begin()

    def leave_panel(self) -> None:
        """Show the job again, or the empty page."""
        self._is_by_numbers = False
        self.refresh()

    def go_region(self, by: int) -> None:
        """Move the focus to the next region."""
        cards: list[QWidget] = [self.answers.cards[int(self.settings["question"]) - 1]]
        focus_next(cards + (self.bench.regions() if self.bench is not None else []), by)

    def of_plan(self, name: str) -> None:
        """Do an action of the plan."""
        if self.commands is not None:
            getattr(self.commands, name)()

    def of_sheet(self, name: str) -> None:
        """Do an action of the sheet."""
        if self.bench is not None:
            view = self.bench.sheet.view
            if name.startswith("zoom"):
                view.zoom(1.25 if name == "zoom_in" else 0.8)
            else:
                getattr(view, name)()

    def paint_by(self, name: str) -> None:
        """Paint the paths by another number."""
        from app.views.scales import Paint

        self.actions_by_name[f"paint_{name}"].setChecked(True)
        if self.bench is not None:
            self.bench.sheet.set_paint(Paint(_PAINT_WORDS[name]))

    def choose_theme(self, choice: ThemeChoice) -> None:
        """Use another theme."""
        self.settings["theme"] = choice.value
        self.theme.choose(choice)

    @cached_property
    def overlays(self) -> Overlays:
        """Return what opens over the window."""
        from app.overlays import Overlays

        return Overlays(self.desk, self.actions_by_name, self)

    def show_action_list(self) -> None:
        """Open the list of every action."""
        self.overlays.show_actions()

    def show_page(self, name: str) -> None:
        """Show a page of text: the keyboard map, what is new, or about with the plan's cautions."""
        self.overlays.show_page(name)

    # what happened

    def on_planning(self, is_busy: bool) -> None:
        """Show that the plan is being computed."""
        self.status.set_busy(is_busy, "Planning")
        if not is_busy:
            self.status.say("")

    def on_opening(self, text: str) -> None:
        """Show that a file is being opened."""
        self.status.set_busy(bool(text), text)
        self.status.say(text)

    def on_opened(self) -> None:
        """Show the job that was opened or saved."""
        self.leave_panel()
        path = self.desk.document.path
        self.status.say(f"{path.name} \u00b7 saved" if path is not None else "")

    def cancel(self) -> None:
        """Stop what runs: the present job and its last plan stay."""
        self.files.worker.cancel()
        self.desk.document.worker.cancel()
        self.status.set_busy(False)
        self.status.say("Stopped; nothing was changed")

    def on_said(self, text: str, action: str) -> None:
        """Tell something in the notice bar."""
        self.notice.tell(text, action, _NOTICE_WORDS.get(action, ""))

    def on_notice(self, action: str) -> None:
        """Do what a notice offers."""
        if action == "recover":
            self.files.recover()
        elif action:
            self.actions_by_name.run(action)

    def on_put_away(self, action: str) -> None:
        """Say where kept work is: it stays kept until it is opened."""
        if action == "recover":
            self.status.say("They stay in the recovery folder until they are opened.")

    # Qt's events

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 - Qt's name
        """Take drawings and jobs."""
        if any(Path(u.toLocalFile()).suffix.lower() in SUFFIXES for u in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 - Qt's name
        """Open the first drawing or job that was dropped."""
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls()]
        for path in paths:
            if path.suffix.lower() in SUFFIXES:
                event.acceptProposedAction()
                self.files.open(path)
                return

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """Keep unsaved work for the next start, and remember how the window stood."""
        self.files.finish()
        self.trial.close()
        self._warm_up.close()
        self.desk.document.close()
        self.settings.set_state("window", self.saveGeometry())
        if "panel_page" in self.__dict__:
            self.panel_page.finish()
        if self.bench is not None:
            self.bench.finish()
            self.settings.set_state("across", self.bench.across.saveState())
            self.settings.set_state("down", self.bench.down.saveState())
        super().closeEvent(event)
