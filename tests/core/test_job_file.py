import io
import json
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import JobFileError
from core.job import Acceptance, Air, ContourChoice, DrawingFile, Job, LibraryFile, Task
from core.job.file import FORMAT, job_bytes, job_from_bytes, read_job, save_job

WORDS = st.text(max_size=12)
LENGTHS = st.floats(0.1, 1e4, allow_nan=False)
DRAWINGS = st.builds(
    DrawingFile,
    name=WORDS,
    content=st.binary(max_size=64),
    mm_per_unit=st.none() | LENGTHS,
    layers_left_out=st.frozensets(WORDS, max_size=3),
    refused_repairs=st.frozensets(WORDS, max_size=3),
    contours=st.lists(
        st.builds(ContourChoice, st.integers(1, 9), st.sampled_from(Task)), max_size=3
    ).map(tuple),
)
JOBS = st.builds(
    Job,
    name=WORDS,
    drawings=st.lists(DRAWINGS, max_size=2).map(tuple),
    quantity=st.integers(1, 10_000),
    thickness_mm=LENGTHS,
    measured_thickness_mm=st.lists(LENGTHS, max_size=3).map(tuple),
    spindle_speed_rpm=st.none() | LENGTHS,
    air=st.sampled_from(Air),
    accepted=st.lists(st.builds(Acceptance, WORDS, WORDS), max_size=2).map(tuple),
    library=st.lists(st.builds(LibraryFile, WORDS, WORDS, WORDS), max_size=2).map(tuple),
)


def rewritten(change):
    """Return the file of an empty job with its decisions changed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(job_bytes(Job()))) as old, zipfile.ZipFile(out, "w") as new:
        document = json.loads(old.read("job.json"))
        change(document)
        new.writestr("job.json", json.dumps(document))
    return out.getvalue()


@given(JOBS)
def test_a_job_read_back_is_the_job_that_was_saved(job):
    assert job_from_bytes(job_bytes(job), "a.pane") == job


def test_the_same_job_gives_the_same_bytes():
    job = Job(drawings=(DrawingFile("a.dxf", b"0", layers_left_out=frozenset("cab")),))
    assert job_bytes(job) == job_bytes(job)


def test_saving_leaves_one_file_and_reads_back(tmp_path):
    save_job(tmp_path / "a.pane", Job(name="guard"))
    assert [p.name for p in tmp_path.iterdir()] == ["a.pane"]
    assert read_job(tmp_path / "a.pane").name == "guard"


def test_saving_where_it_cannot_be_written_says_so_and_leaves_nothing(tmp_path):
    with pytest.raises(JobFileError, match="cannot be written"):
        save_job(tmp_path / "missing" / "a.pane", Job())
    assert list(tmp_path.iterdir()) == []


def test_a_newer_format_is_refused_by_name():
    content = rewritten(lambda d: d.update(format=FORMAT + 1))
    with pytest.raises(JobFileError, match="newer version"):
        job_from_bytes(content, "a.pane")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda d: d["job"].update(thickness_mm="6"), "expected float"),
        (lambda d: d["job"].update(thickness=6), "thickness"),
        (lambda d: d["job"].update(air="wind"), "expected Air"),
        (lambda d: d.update(format="1"), "damaged"),
        (lambda d: d.pop("job"), "damaged"),
    ],
)
def test_what_a_job_cannot_hold_is_said_in_one_line(change, words):
    with pytest.raises(JobFileError, match=words) as caught:
        job_from_bytes(rewritten(change), "a.pane")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("cut", [0, 1, 30, 200, -5])
def test_a_damaged_file_is_said_in_one_line(cut):
    with pytest.raises(JobFileError, match="damaged"):
        job_from_bytes(job_bytes(Job())[:cut], "a.pane")
