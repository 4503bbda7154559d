"""Small jobs planned to the end, with the machine's settings as a test wants them."""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from core.drawing.panel import CornerCut, Holes, Panel, Single, Slot
from core.drawing.panel_drawing import with_panel
from core.handover.nc_writer import nc_programs
from core.handover.work import Work
from core.job import Job
from core.job.file import read_job
from core.pipeline import Pipeline

ROOT = Path(__file__).parent.parent.parent.parent
SAMPLES = sorted(ROOT.glob("sample_jobs/*/*.pane"))


def small_job(**changes):
    """Return a plate of the bakery's scale: a round corner, a square one, a hole, a slot."""
    panel = Panel(
        (70.0, 45.0),
        corners=(CornerCut(8.0), CornerCut(0.0), CornerCut(3.0), CornerCut(0.0)),
        holes=(Holes(9.0, Single((14.0, 14.0))),),
        slots=(Slot(24.0, 10.0, (45.0, 30.0)),),
    )
    return replace(with_panel(Job(name="scale plate"), panel), **changes)


def work_of(results):
    """Return what is handed over of a plan."""
    r = results
    return Work(r.job, r.chosen, r.contours, r.plan, r.layout, r.order)


@lru_cache(maxsize=16)
def planned(job):
    """Return the results of a job, planned once."""
    return Pipeline().results(job)


def small_work(nc=None, **changes):
    """Return a small job's work; `nc` replaces settings of its machine's control."""
    return with_nc(work_of(planned(small_job(**changes))), **(nc or {}))


def with_nc(work, **settings):
    """Return the work with other settings of the control.

    The plan stays as it is, so only settings may differ that leave the motion alone.
    """
    machine = work.chosen.machine
    nc = replace(machine.nc, **settings)
    return replace(work, chosen=replace(work.chosen, machine=replace(machine, nc=nc)))


def sample_work(path):
    """Return the work of a sample job."""
    return work_of(planned(read_job(path)))


def only_text(work):
    """Return the text of the only program."""
    (program,) = nc_programs(work)
    return program.text
