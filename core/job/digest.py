"""A number that tells two jobs apart: the same decisions and drawings have the same digest."""

from __future__ import annotations

import hashlib
import io
import zipfile
from typing import TYPE_CHECKING

from core.job.file import job_bytes

if TYPE_CHECKING:
    from core.job.job import Job


def job_digest(job: Job) -> str:
    """Return the SHA-256 of what a job file holds, as hexadecimal digits.

    Of the contents and not of the zip: how well it was packed is no part of the job.
    """
    digest = hashlib.sha256()
    with zipfile.ZipFile(io.BytesIO(job_bytes(job))) as archive:
        for name in sorted(archive.namelist()):
            content = archive.read(name)
            digest.update(f"{name} {len(content)}\n".encode())
            digest.update(content)
    return digest.hexdigest()
