"""The command line: verbs in, text and JSON out, one line a problem on stderr.

Exit codes: 0 done · 1 done, and a limit is outside · 2 the command line is wrong · 3 the input
cannot be read · 4 refused for safety · 130 cancelled.
"""

from __future__ import annotations

import ctypes
import os
import sys
from importlib.metadata import PackageNotFoundError
from importlib.metadata import version as installed_version
from pathlib import Path
from typing import TYPE_CHECKING

from app.options import CommandLineError, job_of, job_of_files, parser
from core.errors import Cancelled, LibraryError, PlanError, UnitError, WorkbenchError
from core.job.file import write_whole
from core.units import UnitSystem

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable

    from core.job import Job
    from core.report.records import Report

DONE, OUTSIDE, WRONG, UNREADABLE, REFUSED, CANCELLED = 0, 1, 2, 3, 4, 130


def run(arguments: list[str]) -> int:
    """Run one command line and return its exit code."""
    try:
        return _dispatch(arguments)
    except KeyboardInterrupt:
        return _problem("stopped; nothing was written", CANCELLED)
    except Cancelled as stop:
        return _problem(str(stop), CANCELLED)
    except (CommandLineError, UnitError, LibraryError, PlanError) as error:
        return _problem(str(error), WRONG)
    except WorkbenchError as error:
        return _problem(str(error), UNREADABLE)
    except BrokenPipeError:
        # the reader has gone (a pager that was closed): not our fault, and nothing to say
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE


def program_version() -> str:
    """Return the version of this program."""
    try:
        return installed_version("panewright")
    except PackageNotFoundError:
        return "0.1.0 (from its folder)"


def user_library() -> Path | None:
    """Return the folder of the user's own library files, if there is one."""
    folder = user_data() / "library"
    return folder if folder.is_dir() else None


def user_data() -> Path:
    """Return the folder of the user's own data; it need not be there."""
    base = os.environ.get("APPDATA") or os.environ.get("XDG_DATA_HOME")
    home = Path(base) if base else Path.home() / ".local" / "share"
    return home / "panewright"


def _dispatch(arguments: list[str]) -> int:
    verbs: dict[str, Callable[[argparse.Namespace], int]] = {
        "plan": _plan,
        "explain": _explain,
        "panel": _panel,
        "batch": _batch,
        "quote": _quote,
        "log": _log,
        "libraries": _libraries,
        "setup-sheet": _hand_over,
        "nc": _hand_over,
        "prove": _hand_over,
        "toolpaths": _hand_over,
    }
    if arguments and (arguments[0] in verbs or arguments[0].startswith("-")):
        options = parser(program_version()).parse_args(arguments)
        return verbs[options.verb](options)
    if len(arguments) > 1:
        known = ", ".join(verbs)
        raise CommandLineError(
            f"{arguments[0]!r} is no verb ({known}), and the window opens one file; "
            "'panewright --help' shows what can be said"
        )
    return _window(Path(arguments[0]) if arguments else None)


def _plan(options: argparse.Namespace) -> int:
    report = _report(job_of(options, user_library()))
    if options.json:
        from core.report.as_json import report_text

        _write(report_text(report, program_version()) + "\n", options.json)
    if options.json != "-":
        _print(_text(report, options.inch))
    return _code(report)


def _explain(options: argparse.Namespace) -> int:
    from core.report.explaining import explanations

    report = _report(job_of(options, user_library()))
    found = explanations(report, options.contour, options.step, options.number)
    _print("\n\n".join("\n".join(one.lines()) for one in found) + "\n")
    return DONE


def _panel(options: argparse.Namespace) -> int:
    from app.panels import make_panel

    made = make_panel(options, user_library())
    for fault in made.faults:
        _problem(fault, WRONG)
    _print(made.text)
    return WRONG if made.faults else DONE


def _batch(options: argparse.Namespace) -> int:
    from app.batch import run_batch
    from app.batch_rows import rows_json, rows_text

    batch = run_batch(options, user_library(), program_version(), _counted())
    if options.json:
        _write(rows_json(batch.rows, program_version()) + "\n", options.json)
    if options.json != "-":
        _print(rows_text(batch.rows))
    problems = [row for row in batch.rows if row.problem]
    for row in problems:
        _problem(f"{row.file}: {row.problem}", UNREADABLE)
    if len(batch.rows) < batch.wanted:
        done = f"{len(batch.rows)} of {batch.wanted} files are done"
        return _problem(f"stopped; {done}, see {options.out}", CANCELLED)
    if problems:
        return UNREADABLE
    return OUTSIDE if any(row.outside for row in batch.rows) else DONE


def _quote(options: argparse.Namespace) -> int:
    from app.quoting import run_quote

    made = run_quote(options, user_library(), program_version(), _progress())
    for place, content in made.files:
        write_whole(place, content)
    _print(made.text)
    for fault in made.faults:
        _problem(fault, OUTSIDE)
    return OUTSIDE if made.faults or made.outside else DONE


def _counted() -> Callable[[int, int, str], None]:
    """Return a progress line that counts files on a terminal, and says nothing to a file."""
    if not sys.stderr.isatty():
        return lambda done, wanted, name: None

    def show(done: int, wanted: int, name: str) -> None:
        end = "\r" if done < wanted else "\r\x1b[K"
        print(f"\x1b[K{done} of {wanted}: {name[:60]}", end=end, file=sys.stderr, flush=True)  # noqa: T201

    return show


def _hand_over(options: argparse.Namespace) -> int:
    from app.handing_over import hand_over

    handed = hand_over(options, user_library(), program_version(), _progress())
    for place, content in handed.files:
        write_whole(place, content)
    _print(handed.text)
    for problem in handed.problems:
        _problem(problem, handed.code)
    return handed.code


def _log(options: argparse.Namespace) -> int:
    from app.log_verb import run_log

    told = run_log(options, user_data())
    _print(told.text)
    return _problem(told.problem, WRONG) if told.problem else DONE


def _libraries(options: argparse.Namespace) -> int:
    from core.library.check import check
    from core.library.listing import shelf_text
    from core.library.shelf import Shelf

    shelf = Shelf(folder=user_library())
    if options.what is None:
        _print(shelf_text(shelf))
        return DONE
    findings = check(shelf)
    for finding in findings:
        print(f"{finding.severity}: {finding.message}", file=sys.stderr)  # noqa: T201
    if not findings:
        _print("Every file on the shelf can be used.\n")
    return OUTSIDE if findings else DONE


def _window(path: Path | None) -> int:
    reason = no_screen()
    if reason is None:
        from app.window import run as open_window

        return open_window(path, user_library())
    if path is None:
        return _problem(
            f"{reason}, so no window opens; 'panewright plan FILE' prints a plan", WRONG
        )
    report = _report(job_of_files([path]))
    print(f"{reason}: this is the plan as text.", file=sys.stderr)  # noqa: T201
    _print(_text(report, inch=False))
    return DONE


def no_screen() -> str | None:
    """Return why no window can open here, or None if one can."""
    if os.environ.get("QT_QPA_PLATFORM", "").split(":")[0] in ("offscreen", "minimal"):
        return "There is no screen (QT_QPA_PLATFORM asks for none)"
    if sys.platform.startswith("linux") and not (
        os.environ.get("WAYLAND_DISPLAY") or _display_answers()
    ):
        return "There is no screen"
    try:
        import PySide6.QtWidgets  # noqa: F401
    except ImportError as error:
        return f"The window's libraries cannot be loaded ({error})"
    return None


def _display_answers() -> bool:
    """Tell whether the X server of DISPLAY answers: Qt ends the whole program where none does."""
    if not os.environ.get("DISPLAY"):
        return False
    try:
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError:
        return False
    xcb.xcb_connect.restype = ctypes.c_void_p
    connection = ctypes.c_void_p(xcb.xcb_connect(None, None))
    failed = bool(xcb.xcb_connection_has_error(connection))
    xcb.xcb_disconnect(connection)
    return not failed


def _report(job: Job) -> Report:
    from core.pipeline import Pipeline

    return Pipeline(user_library()).results(job, progress=_progress()).report


def _progress() -> Callable[[float], None] | None:
    """Return a progress line for a terminal, or None where stderr is a file."""
    if not sys.stderr.isatty():
        return None

    def show(share: float) -> None:
        end = "\r" if share < 1.0 else "\r\x1b[K"
        print(f"planning {share:4.0%}", end=end, file=sys.stderr, flush=True)  # noqa: T201

    return show


def _text(report: Report, inch: bool) -> str:
    from core.report.text import plan_text

    return plan_text(report, UnitSystem.INCH if inch else UnitSystem.METRIC)


def _code(report: Report) -> int:
    return OUTSIDE if report.answer.outside else DONE


def _write(text: str, place: str) -> None:
    if place == "-":
        _print(text)
    else:
        write_whole(Path(place), text.encode())


def _print(text: str) -> None:
    """Write to stdout as UTF-8, whatever the terminal's own encoding."""
    sys.stdout.flush()
    sys.stdout.buffer.write(text.encode())
    sys.stdout.buffer.flush()


def _problem(message: str, code: int) -> int:
    print(f"panewright: {message}", file=sys.stderr)  # noqa: T201
    return code
