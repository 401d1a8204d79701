"""What the commands that make papers share: find a lot, switch the language, write the file."""

from __future__ import annotations

from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.core.management.base import CommandError
from django.utils import translation

from lots.dossier.faults import PaperFault
from lots.read.finding import Found, find
from lots.recall.ranges import RecallError


def add_language(parser: ArgumentParser) -> None:
    """Declare the language of the paper."""
    parser.add_argument("--lang", choices=("en", "ja"), default="en", help="the language of the paper; default en")


def found_lots(text: str) -> Found:
    """Return the lots of one step that a text names; raises CommandError."""
    found = find(text)
    if not found.sure:
        several = f" It names {len(found.lots)} lots of several steps: type a code." if found.lots else ""
        raise CommandError(f"No lot or pack {text} is in the book.{several}")
    return found


@contextmanager
def in_language(language: str) -> Iterator[None]:
    """Switch the language, and turn what is in the way of a paper into a command's error."""
    try:
        with translation.override(language):
            yield
    except PaperFault as fault:
        raise CommandError(fault.sentence) from fault
    except RecallError as fault:
        raise CommandError(str(fault)) from fault


def write(path: Path, data: bytes) -> None:
    """Write a file, whole or not at all."""
    part = path.with_name(f"{path.name}.part")
    part.write_bytes(data)
    part.replace(path)
