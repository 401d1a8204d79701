"""Finds the browser of the tests: `python tests/browser/chromium.py` prints its path, or says what is missing."""

from __future__ import annotations

import os
import shutil
import sys

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "microsoft-edge")


def find() -> str | None:
    """The program named by LEDGER_CHROMIUM, else the first that is on the path."""
    named = os.environ.get("LEDGER_CHROMIUM", "")
    return next((path for name in (named, *NAMES) if name and (path := shutil.which(name))), None)


def require() -> str:
    """The same, or a sentence that says what to do."""
    path = find()
    if path is None:
        raise SystemExit(
            "No browser was found for the browser tests. On Debian: apt-get install chromium; elsewhere name one with "
            "LEDGER_CHROMIUM=/path/to/it (Chromium, Chrome or Edge)."
        )
    return path


if __name__ == "__main__":
    sys.stdout.write(require() + "\n")
