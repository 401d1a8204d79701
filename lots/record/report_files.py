"""Reports of laboratories: kept outside the book under a name made of their hash; the book has the hash."""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext as _

from lots.record.errors import Refused

BYTES_MOST = 10_000_000
#: How each kind of file begins, and how its kept name ends.
KINDS = ((b"%PDF-", "pdf"), (b"\x89PNG\r\n\x1a\n", "png"), (b"\xff\xd8\xff", "jpg"))


@dataclass(frozen=True, slots=True)
class ReportFile:
    """A kept report: its SHA-256 in hexadecimal and its name in the folder."""

    sha256: str
    name: str


def folder() -> Path:
    """Return the folder of the reports."""
    return Path(settings.LEDGER_REPORT_DIR)


def keep(content: bytes) -> ReportFile:
    """Keep a report, or refuse what is none. The same file is kept once, however often it is sent."""
    if not content:
        raise Refused(_("The file is empty. Choose the report of the laboratory."), "report")
    if len(content) > BYTES_MOST:
        raise Refused(_("The file has more than 10 MB. Send the report alone, as the laboratory made it."), "report")
    ending = next((end for start, end in KINDS if content.startswith(start)), "")
    if not ending:
        raise Refused(_("The file is no PDF, PNG or JPEG. Choose the report as the laboratory sent it."), "report")
    sha256 = hashlib.sha256(content).hexdigest()
    kept = ReportFile(sha256, f"{sha256}.{ending}")
    write(folder() / kept.name, content)
    return kept


def write(path: Path, content: bytes) -> None:
    """Write a file whole or not at all."""
    if path.is_file() and path.read_bytes() == content:
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f"{path.name}.{os.getpid()}.part")
    with part.open("wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    part.replace(path)


def kept(sha256: str) -> ReportFile | None:
    """Return a report that was kept before, by its hash; None where no such file is in the folder."""
    if len(sha256) != hashlib.sha256().digest_size * 2 or not sha256.isalnum() or not sha256.isascii():
        return None
    found = next((folder() / f"{sha256}.{end}" for _start, end in KINDS if (folder() / f"{sha256}.{end}").is_file()), None)
    return ReportFile(sha256, found.name) if found else None
