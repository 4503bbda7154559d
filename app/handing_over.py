"""The verbs that hand over: setup sheet, NC program, its proof, toolpaths as DXF.

An NC program comes to stand under its name only after its text was read back and proven, and never
while a limit is outside and not accepted.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from app.options import job_of
from core.errors import JobFileError
from core.handover.nc_writer import nc_programs
from core.handover.path_dxf import outlines_dxf, toolpaths_dxf
from core.handover.proof import prove
from core.handover.proof_text import Told, proof_fields, proof_line, proof_text
from core.handover.work import Work
from core.pipeline import Pipeline
from core.report.records import State
from core.units import UnitSystem

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Iterator

    from core.errors import Finding
    from core.pipeline import Results
    from core.report.records import Report

DONE, OUTSIDE, REFUSED = 0, 1, 4
NC_SUFFIX = ".nc"


class Handed(NamedTuple):
    """What came of a verb: exit code, text to print, files to write, one line a problem."""

    code: int
    text: str = ""
    files: tuple[tuple[Path, bytes], ...] = ()
    problems: tuple[str, ...] = ()


class Programs(NamedTuple):
    """The programs of a job with their proofs; `problems` where there are none or none may be."""

    texts: tuple[str, ...] = ()
    told: Told | None = None
    problems: tuple[str, ...] = ()


def hand_over(
    options: argparse.Namespace,
    folder: Path | None,
    version: str,
    progress: Callable[[float], None] | None,
) -> Handed:
    """Do what one of the verbs asks for; nothing is written here.

    Raises
    ------
    WorkbenchError
        If the job cannot be read or planned.
    """
    if options.verb == "prove":
        options.files = [options.job]
    results = Pipeline(folder).results(job_of(options, folder), progress=progress)
    verbs = {
        "setup-sheet": lambda: _setup_sheet(options, results, version),
        "nc": lambda: _nc(options, results),
        "prove": lambda: _prove(options, results),
        "toolpaths": lambda: _toolpaths(options, results),
    }
    return verbs[options.verb]()


def work_of(results: Results) -> Work:
    """Return what is handed over of a plan."""
    return Work(
        results.job,
        results.chosen,
        results.contours,
        results.plan,
        results.layout,
        results.order,
    )


def programs_of(results: Results, name: str) -> Programs:
    """Return the programs of a plan, read back and proven, or why there are none.

    Parameters
    ----------
    results : Results
        The plan.
    name : str
        File name of the program; several are numbered.
    """
    outside = tuple(outside_of(results.report))
    if outside:
        return Programs(problems=outside)
    work = work_of(results)
    if not work.order.lines:
        return Programs(problems=("nothing is cut, so there is no program",))
    written = nc_programs(work)
    proofs = tuple(prove(work, one.text, one.number) for one in written)
    names = tuple(_numbered(name, one.number, one.count) for one in written)
    told = Told(names, proofs, results.chosen.machine)
    wrong = () if told.hold else tuple(proof_text(told).splitlines())
    return Programs(tuple(one.text for one in written), told, wrong)


def proof_words(made: Programs) -> str:
    """Return what the setup sheet says of the programs, or of why there are none."""
    if made.told:
        return proof_line(made.told)
    return "There is no NC program: " + "; ".join(made.problems) + "."


def outside_of(report: Report) -> Iterator[str]:
    """Yield what is outside and not accepted, in words; any of it stands against a program."""
    gathered: dict[tuple[str, str], list[str]] = {}
    for contour in report.contours:
        for one in contour.passes:
            for limit in one.limits:
                if limit.state is State.OUTSIDE and not limit.accepted:
                    gathered.setdefault((limit.name, limit.label), []).append(contour.name)
    for (name, label), places in gathered.items():
        where = ", ".join(list(dict.fromkeys(places))[:3])
        yield f"outside: {label} ({where}); change it, or say --accept {name} --reason TEXT"
    noticed: list[Finding] = [f for d in report.drawings for f in d.findings]
    noticed += [f for c in report.contours for f in c.findings] + list(report.findings)
    for finding in noticed:
        if finding.severity.value == State.OUTSIDE.value and not finding.repaired:
            yield f"outside: {finding.message}"


def _numbered(name: str, number: int, count: int) -> str:
    place = Path(name)
    return name if count == 1 else str(place.with_stem(f"{place.stem}_{number}"))


def _setup_sheet(options: argparse.Namespace, results: Results, version: str) -> Handed:
    from app.printing.setup_sheet import setup_sheet_html, setup_sheet_pdf

    system = UnitSystem.INCH if options.inch else UnitSystem.METRIC
    made = programs_of(results, Path(options.pdf).with_suffix(NC_SUFFIX).name)
    proof = proof_words(made)
    files = [(Path(options.pdf), setup_sheet_pdf(results, version, system, proof))]
    if options.html:
        words = setup_sheet_html(results, version, system, proof)
        files.append((Path(options.html), words.encode()))
    outside = OUTSIDE if results.report.answer.outside else DONE
    return Handed(outside, f"{options.pdf}: setup sheet. {proof}\n", tuple(files))


def _nc(options: argparse.Namespace, results: Results) -> Handed:
    made = programs_of(results, options.out)
    if made.problems or made.told is None:
        return Handed(REFUSED, problems=(*made.problems, f"refused: {options.out} is not written"))
    files = [
        (Path(name), text.encode()) for name, text in zip(made.told.names, made.texts, strict=True)
    ]
    return _with_json(options, Handed(DONE, proof_text(made.told), tuple(files)), made.told)


def _prove(options: argparse.Namespace, results: Results) -> Handed:
    work, text = work_of(results), _program_text(Path(options.program))
    wanted = [options.number] if options.number else range(1, len(work.programs()) + 1)
    proofs = []
    for number in wanted:
        proofs.append(prove(work, text, number))
        if proofs[-1].holds:
            break
    chosen = proofs[-1] if proofs and proofs[-1].holds else next(iter(proofs), None)
    if chosen is None:
        return Handed(OUTSIDE, problems=("the job cuts nothing, so no program can be proven",))
    told = Told((options.program,), (chosen,), results.chosen.machine)
    code = DONE if told.hold else OUTSIDE
    return _with_json(options, Handed(code, proof_text(told)), told)


def _program_text(place: Path) -> str:
    try:
        return place.read_bytes().decode("ascii")
    except OSError as error:
        raise JobFileError(f"{place}: {error.strerror or error}") from error
    except UnicodeDecodeError as error:
        raise JobFileError(f"{place}: is no NC program (it holds more than plain text)") from error


def _toolpaths(options: argparse.Namespace, results: Results) -> Handed:
    work = work_of(results)
    files = [(Path(options.dxf), toolpaths_dxf(work))]
    if options.outlines:
        files.append((Path(options.outlines), outlines_dxf(work)))
    told = "".join(f"{place}: {len(content)} bytes\n" for place, content in files)
    return Handed(OUTSIDE if results.report.answer.outside else DONE, told, tuple(files))


def _with_json(options: argparse.Namespace, handed: Handed, told: Told) -> Handed:
    if not options.json:
        return handed
    fields = json.dumps({"format": 1, "proof": proof_fields(told)}, indent=1) + "\n"
    if options.json == "-":
        return handed._replace(text=fields)
    return handed._replace(files=(*handed.files, (Path(options.json), fields.encode())))
