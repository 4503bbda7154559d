"""Writes report and programs of every sample job anew: `python tests/golden/renew.py`.

The report stands beside its job, the programs in `tests/golden/programs`.
"""

import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
PROGRAMS = Path(__file__).parent / "programs"
sys.path.insert(0, str(ROOT))

from core.handover.nc_writer import nc_programs  # noqa: E402
from core.handover.work import Work  # noqa: E402
from core.job.file import read_job  # noqa: E402
from core.pipeline import Pipeline  # noqa: E402
from core.report.text import plan_text  # noqa: E402


def report_of(job_file):
    """Return the report of a job file as text."""
    return plan_text(Pipeline().results(read_job(job_file)).report)


def programs_of(job_file):
    """Return the texts of a job file's programs by file name."""
    r = Pipeline().results(read_job(job_file))
    work = Work(r.job, r.chosen, r.contours, r.plan, r.layout, r.order)
    return {f"{job_file.stem}_{p.number}.nc": p.text for p in nc_programs(work)}


if __name__ == "__main__":
    for path in sorted(ROOT.glob("sample_jobs/*/*.pane")):
        (path.parent / "report.txt").write_text(report_of(path), "utf-8")
        for name, text in programs_of(path).items():
            (PROGRAMS / name).write_bytes(text.encode("ascii"))
