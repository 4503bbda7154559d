"""Writes the report of every sample job anew, beside the job: `python tests/golden/renew.py`."""

import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
sys.path.insert(0, str(ROOT))

from core.job.file import read_job  # noqa: E402
from core.pipeline import Pipeline  # noqa: E402
from core.report.text import plan_text  # noqa: E402


def report_of(job_file):
    """Return the report of a job file as text."""
    return plan_text(Pipeline().results(read_job(job_file)).report)


if __name__ == "__main__":
    for path in sorted(ROOT.glob("sample_jobs/*/*.pane")):
        (path.parent / "report.txt").write_text(report_of(path), "utf-8")
