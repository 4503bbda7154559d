"""The verb `quote`: nests, times and prices a job, and makes the files that are asked for.

Everything is made before anything is written; without a price no page and no table is made.
"""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from app.options import CommandLineError, flag, job_of, said
from core.errors import Severity, UnknownNameError
from core.job import FreeLine, LineChange, Offer, Per
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.quote.as_json import quote_fields
from core.quote.as_text import quote_text
from core.quote.comparing import side_by_side
from core.quote.quoting import quote, rack_of
from core.quote.service_lines import money_of
from core.quote.sheet_work import Planned
from core.quote.tables import csv_text
from core.quote.workbook import workbook_bytes
from core.report.as_json import report_fields
from core.units import UnitSystem, parse, parse_size

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Iterator

    from core.job import Job
    from core.library.rate_records import Rates
    from core.quote.comparing import Column
    from core.quote.quoting import Quote
    from core.report.records import Report

INSTEAD = {
    "material": "material",
    "machine": "machine",
    "recipe": "recipe",
    "sheet": "sheet",
    "rates": "rates",
    "holder": "holder",
    "rough_cutter": "mounted",
    "finish_cutter": "mounted",
    "hole_cutter": "mounted",
}
"""What an alternative may change: the field of the job, and its kind on the shelf."""

OUTSIDE_WORDS = (
    "The plan has limits outside; 'panewright plan' says which. The price is that of this plan."
)

PLANNING_SHARE = 0.3
"""How far the progress is when the plan is done and the search for a layout begins."""


class Made(NamedTuple):
    """What came of it: text to print, files to write, faults, and whether a limit is outside."""

    text: str
    files: tuple[tuple[Path, bytes], ...]
    faults: tuple[str, ...]
    outside: bool


class Quoted(NamedTuple):
    """A quote with the plan that it prices."""

    report: Report
    planned: Planned
    quote: Quote


def run_quote(
    options: argparse.Namespace,
    folder: Path | None,
    version: str,
    progress: Callable[[float], None] | None = None,
) -> Made:
    """Quote a job as the command line says.

    Raises
    ------
    CommandLineError
        If an option cannot be meant.
    WorkbenchError
        If a file cannot be read, a name is not on the shelf, or nothing can be planned.
    """
    job = job_of(options, folder)
    _check_services(options, Shelf(job.library, folder).rates(job.rates))
    job = replace(job, offer=offer_of(job.offer, options))
    breaks = _breaks(options.breaks)
    others = [(text, _instead(job, text, folder)) for text in options.instead]
    shares = _shares(progress, 1 + len(others))
    made = _quoted(job, breaks, folder, next(shares))
    columns = [("as asked", made.quote)]
    columns += [(text, _quoted(other, (), folder, next(shares)).quote) for text, other in others]
    alternatives = side_by_side(columns)
    faults = tuple(f.message for f in made.quote.findings if _stops(f.severity, made.quote))
    text = quote_text(made.quote, alternatives)
    if made.report.answer.outside:
        text += f"\n{OUTSIDE_WORDS}\n"
    files = tuple(_files(options, made, alternatives, version))
    if options.json == "-":
        text = _json(made, alternatives, version)
    return Made(text, files, faults, bool(made.report.answer.outside))


def _stops(severity: Severity, made: Quote) -> bool:
    return severity is Severity.OUTSIDE or made.price is None


def _quoted(
    job: Job, breaks: tuple[int, ...], folder: Path | None, progress: Callable[[float], None]
) -> Quoted:
    results = Pipeline(folder).results(job, progress=lambda share: progress(PLANNING_SHARE * share))
    planned = Planned(results.contours, results.chosen, results.plan, results.motion)
    rack = rack_of(job, Shelf(job.library, folder), results.chosen.rates)
    made = quote(
        job,
        planned,
        rack,
        breaks,
        progress=lambda share: progress(PLANNING_SHARE + (1.0 - PLANNING_SHARE) * share),
    )
    return Quoted(results.report, planned, made)


def _shares(
    progress: Callable[[float], None] | None, count: int
) -> Iterator[Callable[[float], None]]:
    """Yield a progress for each of `count` quotes."""
    for index in range(count):

        def share_of(share: float, index: int = index) -> None:
            if progress is not None:
                progress((index + share) / count)

        yield share_of


def _files(
    options: argparse.Namespace, made: Quoted, alternatives: tuple[Column, ...], version: str
) -> Iterator[tuple[Path, bytes]]:
    if options.json and options.json != "-":
        yield Path(options.json), _json(made, alternatives, version).encode()
    price = made.quote.price
    if price is None:
        return
    system = UnitSystem.INCH if options.inch else UnitSystem.METRIC
    if options.csv:
        # a mark at the beginning tells a spreadsheet that it is UTF-8
        yield Path(options.csv), csv_text(made.quote, alternatives).encode("utf-8-sig")
    if options.xlsx:
        yield Path(options.xlsx), workbook_bytes(made.quote, price, alternatives)
    if options.pdf or options.cost_pdf:
        from app.printing.quote_pdf import cost_pdf, quote_pdf

        today = date.today()
        if options.pdf:
            yield Path(options.pdf), quote_pdf(made.quote, made.planned, today, system)
        if options.cost_pdf:
            page = cost_pdf(made.quote, made.planned, today, alternatives, system)
            yield Path(options.cost_pdf), page


def _json(made: Quoted, alternatives: tuple[Column, ...], version: str) -> str:
    fields = report_fields(made.report, version)
    offered = quote_fields(made.quote, alternatives)
    # one price in the file: that of the quote, on nested sheets
    fields["price"] = None
    if made.quote.price is not None:
        names = ("per_part", "total", "currency", "lines")
        fields["price"] = {name: offered[name] for name in names}
    fields["quote"] = offered
    return json.dumps(fields, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _breaks(text: str) -> tuple[int, ...]:
    words = [word for word in text.replace(";", ",").split(",") if word.strip()]
    try:
        quantities = tuple(int(word) for word in words)
    except ValueError as error:
        raise CommandLineError(
            f"--breaks: {text!r} is no list of quantities; write one like 1,10,50"
        ) from error
    for quantity in quantities:
        if quantity < 1:
            raise CommandLineError(
                f"--breaks: a quantity of {quantity} cannot be cut; give 1 or more"
            )
    return quantities


def offer_of(offer: Offer, options: argparse.Namespace) -> Offer:
    """Return the offer of a job changed as the options say.

    Raises
    ------
    CommandLineError
        If an option cannot be meant.
    """
    if len(options.change) != len(options.why):
        raise CommandLineError("each --change LINE=AMOUNT needs its own --why TEXT")
    changes = zip(options.change, options.why, strict=True)
    markup = options.markup
    return replace(
        offer,
        customer=options.customer or offer.customer,
        rack=tuple(options.rack) or offer.rack,
        turns=options.turns or offer.turns,
        may_mirror=options.mirror or offer.may_mirror,
        in_holes=options.in_holes or offer.in_holes,
        zones_mm=offer.zones_mm + tuple(map(_zone, options.zone)),
        services=offer.services + tuple(options.service),
        without=offer.without + tuple(options.without),
        free_lines=offer.free_lines + tuple(map(_line, options.line)),
        changes=offer.changes + tuple(_change(text, why) for text, why in changes),
        markup_share=offer.markup_share
        if markup is None
        else said("--markup", partial(parse, markup, "")),
    )


def _check_services(options: argparse.Namespace, rates: Rates) -> None:
    known = [service.name for service in rates.services]
    for name in (*options.service, *options.without):
        if name not in known:
            raise UnknownNameError("service", name, known)


def _zone(text: str) -> tuple[float, float, float, float]:
    size, sign, place = text.partition("@")
    words = place.split(",")
    if not sign or len(words) != 2:
        raise CommandLineError(f"--zone: {text!r} is no WxH@X,Y; write one like 120x80@0,0")
    width, height = said("--zone", partial(parse_size, size, "mm"))
    x, y = (said("--zone", partial(parse, word, "mm")) for word in words)
    return x, y, x + width, y + height


def _line(text: str) -> FreeLine:
    words = [word.strip() for word in text.split(",")]
    kinds = ", ".join(per.value for per in Per)
    if len(words) not in (3, 4) or words[1] not in list(Per):
        raise CommandLineError(
            f"--line: {text!r} is no NAME,PER,AMOUNT with PER one of {kinds}; "
            "write one like 'bend,piece,3.50'"
        )
    count = said("--line", partial(parse, words[3], "")) if len(words) == 4 else 1.0
    money_of(words[2], f"--line {words[0]}")
    return FreeLine(words[0], Per(words[1]), words[2], count)


def _change(text: str, why: str) -> LineChange:
    name, sign, amount = text.rpartition("=")
    if not sign:
        raise CommandLineError(f"--change: {text!r} is no LINE=AMOUNT; write one like 'machine=90'")
    money_of(amount, f"--change {name}")
    return LineChange(name.strip(), amount.strip(), why)


def _instead(job: Job, text: str, folder: Path | None) -> Job:
    shelf = Shelf(job.library, folder)
    changes: dict[str, str] = {}
    for word in text.split(","):
        field, sign, key = word.partition("=")
        field = field.strip().replace("-", "_")
        if not sign or field not in INSTEAD:
            fields = ", ".join(flag(name)[2:] for name in INSTEAD)
            raise CommandLineError(
                f"--instead: {word!r} is no FIELD=KEY with FIELD one of {fields}"
            )
        changes[field] = shelf.key(INSTEAD[field], key.strip())
    return replace(job, **changes)  # type: ignore[arg-type]
