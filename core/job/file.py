"""The job file (`.pane`): one zip that carries the decisions and the drawings.

Inside: `job.json` with the decisions, and `drawings/0`, `drawings/1`, ... with each drawing byte
for byte. The same job always gives the same bytes. Older formats are brought up by the steps in
`UPGRADES`; a newer one is refused, because what it says would be lost on saving.
"""

from __future__ import annotations

import io
import json
import os
import tempfile
import zipfile
from typing import TYPE_CHECKING, Any

from core.errors import JobFileError
from core.job.job import DrawingFile, Job

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from cattrs import Converter

FORMAT = 1
LARGEST_MEMBER = 512 * 2**20
"""Refused above this, before anything is unpacked: a small zip can claim to hold terabytes."""

UPGRADES: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = {}
"""From format n to n + 1."""

_DAMAGED = "the job file is damaged; open its recovery copy or an older save"


def job_bytes(job: Job) -> bytes:
    """Return the job as the bytes of its file."""
    fields = _converter().unstructure(job)
    for drawing in fields["drawings"]:
        del drawing["content"]
    text = json.dumps({"format": FORMAT, "job": fields}, indent=1, ensure_ascii=False)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        _add(archive, "job.json", text.encode())
        for index, drawing in enumerate(job.drawings):
            _add(archive, f"drawings/{index}", drawing.content)
    return out.getvalue()


def job_from_bytes(content: bytes, name: str) -> Job:
    """Return the job that the bytes of a job file hold.

    Raises
    ------
    JobFileError
        If it is damaged, written by a newer version, or holds what a job cannot.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            fields = _decisions(json.loads(_member(archive, "job.json")), name)
            for index, drawing in enumerate(fields["drawings"]):
                drawing["content"] = _member(archive, f"drawings/{index}")
    except JobFileError:
        raise
    except Exception as error:  # zip, zlib, json and shape faults: all mean the same to the user
        raise JobFileError(f"{name}: {_DAMAGED}") from error
    return _structured(fields, name)


def read_job(path: Path) -> Job:
    """Read a job file.

    Raises
    ------
    JobFileError
        If it cannot be read or holds no job.
    """
    try:
        content = path.read_bytes()
    except OSError as error:
        raise JobFileError(f"{path}: {error.strerror or error}") from error
    return job_from_bytes(content, path.name)


def save_job(path: Path, job: Job) -> None:
    """Write a job file; the old one stays whole until the new one is.

    Raises
    ------
    JobFileError
        If the place cannot be written.
    """
    write_whole(path, job_bytes(job))


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that it either has all of `content` or stays as it was.

    Raises
    ------
    JobFileError
        If the place cannot be written.
    """
    temporary = ""
    try:
        with tempfile.NamedTemporaryFile(dir=path.parent, prefix=".", delete=False) as stream:
            temporary = stream.name
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(temporary, 0o666 & ~_umask())
        os.replace(temporary, path)
    except OSError as error:
        if temporary and os.path.exists(temporary):
            os.unlink(temporary)
        raise JobFileError(
            f"{path}: cannot be written ({error.strerror or error}); choose another place"
        ) from error


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _add(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
    # a fixed date: the same job gives the same bytes
    entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
    entry.compress_type = zipfile.ZIP_DEFLATED
    archive.writestr(entry, content)


def _member(archive: zipfile.ZipFile, name: str) -> bytes:
    if archive.getinfo(name).file_size > LARGEST_MEMBER:
        raise JobFileError(f"{name} inside the job file claims more than 512 MiB; it is not read")
    return archive.read(name)


def _decisions(document: Any, name: str) -> dict[str, Any]:
    if not isinstance(document, dict) or not isinstance(document.get("format"), int):
        raise JobFileError(f"{name}: {_DAMAGED}")
    version = document["format"]
    if version > FORMAT:
        raise JobFileError(
            f"{name}: written by a newer version (format {version}, this one reads up to {FORMAT});"
            " update the program to open it"
        )
    fields: dict[str, Any] = document["job"]
    for step in range(version, FORMAT):
        fields = UPGRADES[step](fields)
    return fields


def _structured(fields: dict[str, Any], name: str) -> Job:
    from cattrs import transform_error

    try:
        return _converter().structure(fields, Job)
    except Exception as error:
        first = "; ".join(transform_error(error)[:3])
        raise JobFileError(f"{name}: holds what a job cannot: {first}") from error


def _number(value: object, _: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError("a number without quotes is needed")
    return float(value)


def _text(value: object, _: object) -> str:
    if not isinstance(value, str):
        raise TypeError("a text is needed")
    return value


def _converter() -> Converter:
    from cattrs import Converter

    converter = Converter(forbid_extra_keys=True)
    converter.register_structure_hook(float, _number)
    # by identity, for a StrEnum is a str too and has its own hook
    converter.register_structure_hook_func(lambda kind: kind is str, _text)
    converter.register_structure_hook(bytes, lambda value, _: bytes(value))
    converter.register_unstructure_hook(bytes, lambda value: value)
    converter.register_unstructure_hook(frozenset, sorted)
    converter.register_unstructure_hook(DrawingFile, _drawing_fields(converter))
    return converter


def _drawing_fields(converter: Converter) -> Callable[[DrawingFile], dict[str, Any]]:
    def fields(drawing: DrawingFile) -> dict[str, Any]:
        return {
            "name": drawing.name,
            "content": drawing.content,
            "mm_per_unit": drawing.mm_per_unit,
            "layers_left_out": sorted(drawing.layers_left_out),
            "layers_kept": sorted(drawing.layers_kept),
            "refused_repairs": sorted(drawing.refused_repairs),
            "contours": converter.unstructure(drawing.contours),
        }

    return fields
