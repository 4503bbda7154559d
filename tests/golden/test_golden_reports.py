"""Reports and programs of the sample jobs, word for word: what moves a number shows here."""

import importlib.util
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
JOBS = sorted(ROOT.glob("sample_jobs/*/*.pane"))


def renew():
    spec = importlib.util.spec_from_file_location("renew", HERE / "renew.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_there_are_sample_jobs():
    assert len(JOBS) >= 3


@pytest.mark.parametrize("job", JOBS, ids=lambda path: path.stem)
def test_the_report_of_a_sample_job_is_the_one_beside_it(job):
    expected = (job.parent / "report.txt").read_text("utf-8")
    assert renew().report_of(job) == expected


@pytest.mark.parametrize("job", JOBS, ids=lambda path: path.stem)
def test_the_programs_of_a_sample_job_are_the_ones_kept_byte_for_byte(job):
    found = {name: text.encode("ascii") for name, text in renew().programs_of(job).items()}
    kept = {p.name: p.read_bytes() for p in (HERE / "programs").glob(f"{job.stem}_*.nc")}
    assert found == kept
