"""How the window is wired: which handler each action has, which signal goes where, the menus."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from app.actions import ACTIONS, MENUS
from app.recent_menu import RecentMenu
from app.theme import ThemeChoice

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.main_window import MainWindow
    from app.views.panel_page import PanelPage
    from app.workbench import Workbench

_OF_PLAN = (
    "next_finding",
    "previous_finding",
    "next_contour",
    "previous_contour",
    "worst",
    "explain",
    "apply_remedy",
    "play",
    "copy",
    "copy_reason",
    "copy_table",
    "drawing",
    "task",
)
_OF_SHEET = ("zoom_in", "zoom_out", "fit", "fit_selected")
_MADE = ("quote_pdf", "cost_pdf", "workbook", "setup_sheet", "nc", "toolpaths")
_PAINTS = ("chip", "speed", "temperature", "state")


def handlers(window: MainWindow) -> dict[str, Callable[[], object]]:
    """Return what every action of the table does."""
    files, selection, trial = window.files, window.desk.selection, window.trial
    return {
        "open": files.ask_open,
        "open_sample": files.open_sample,
        "panel": window.show_panel,
        "save": files.save,
        "save_as": files.save_as,
        "close": files.close_job,
        "quit": window.close,
        "undo": window.desk.document.undo_stack.undo,
        "redo": window.desk.document.undo_stack.redo,
        "units": window.desk.switch_units,
        "next_region": partial(window.go_region, 1),
        "previous_region": partial(window.go_region, -1),
        "back": selection.back,
        "forward": selection.forward,
        "trial_open": partial(window.show_question, 3),
        "trial_adopt": trial.adopt,
        "trial_drop": trial.drop,
        "palette": window.show_action_list,
        **{name: partial(window.show_page, name) for name in ("keys", "news", "about", "slot")},
        **{f"question_{n}": partial(window.show_question, n) for n in (1, 2, 3)},
        **{f"theme_{c.value}": partial(window.choose_theme, c) for c in ThemeChoice},
        **{f"paint_{p}": partial(window.paint_by, p) for p in _PAINTS},
        **{name: partial(window.of_plan, name) for name in _OF_PLAN},
        **{name: partial(window.of_sheet, name) for name in _OF_SHEET},
        **{name: partial(_make, window, name) for name in _MADE},
    }


def _make(window: MainWindow, name: str) -> None:
    """Make a paper or a program of the plan."""
    if window.bench is not None:
        window.bench.papers[name]()


def connect_bench(window: MainWindow, bench: Workbench) -> None:
    """Connect the work page when it is made."""
    status, writer, quoting = window.status, bench.writer, bench.quoting
    bench.question_changed.connect(window.answers.pick)
    bench.advisor.crashed.connect(window.emergency.report)
    quoting.changed.connect(window.answers.show_quote)
    quoting.crashed.connect(window.emergency.report)
    writer.worker.busy_changed.connect(status.set_making)
    writer.worker.progressed.connect(status.set_share)
    writer.said.connect(status.say)
    writer.page_made.connect(window.overlays.show_text)
    writer.crashed.connect(window.emergency.report)
    status.cancel_asked.connect(writer.worker.cancel)


def make_menus(window: MainWindow) -> RecentMenu:
    """Make the menus from the table; return the one of recent files."""
    bar = window.menuBar()
    menus = {name: bar.addMenu(f"&{name}") for name in MENUS}
    group = dict.fromkeys(MENUS, "")
    recent = RecentMenu(window.settings, menus["File"])
    for spec in ACTIONS:
        menu, action = menus[spec.menu], window.actions_by_name[spec.name]
        if spec.group != group[spec.menu]:
            menu.addSeparator()
        group[spec.menu] = spec.group
        menu.addAction(action)
        window.addAction(action)
        if spec.name == "open_sample":
            menu.addMenu(recent)
    return recent


def connect(window: MainWindow) -> None:
    """Connect signals to bound methods of QObjects; a lambda would keep its window alive."""
    document, files, trial = window.desk.document, window.files, window.trial
    status, notice, emergency = window.status, window.notice, window.emergency
    document.changed.connect(window.refresh)
    document.undo_stack.indexChanged.connect(window.refresh)
    document.undo_stack.cleanChanged.connect(window.refresh)
    document.crashed.connect(emergency.report)
    document.worker.busy_changed.connect(window.on_planning)
    document.worker.progressed.connect(status.set_share)
    window.desk.selection.changed.connect(window.refresh_actions)
    window.theme.changed.connect(window.on_theme)
    trial.changed.connect(window.refresh_actions)
    trial.crashed.connect(emergency.report)
    files.said.connect(window.on_said)
    files.opened.connect(window.on_opened)
    files.crashed.connect(emergency.report)
    files.opening_changed.connect(window.on_opening)
    files.worker.progressed.connect(status.set_share)
    emergency.told.connect(notice.tell)
    window.answers.picked.connect(window.show_question)
    window.empty_page.recent_asked.connect(files.open)
    notice.answered.connect(window.on_notice)
    notice.put_away.connect(window.on_put_away)
    status.cancel_asked.connect(window.cancel)
    status.units_asked.connect(window.desk.switch_units)
    window.recent_menu.asked.connect(files.open)
    files.refused.connect(window.status.say)


def connect_panel(window: MainWindow, page: PanelPage) -> None:
    """Connect the page of a panel by numbers when it is made."""
    page.used.connect(window.leave_panel)
    page.left.connect(window.leave_panel)
    page.said.connect(window.status.say)
    page.crashed.connect(window.emergency.report)
