"""The demo season that the project carries is the reference's, byte for byte."""

from __future__ import annotations

import os
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]
REFERENCE = PROJECT / os.environ.get("LEDGER_REFERENCE", "../shared/reference")


def test_the_demo_season_is_the_reference_season() -> None:
    assert (PROJECT / "fixtures" / "demo_season.json").read_bytes() == (REFERENCE / "demo_season.json").read_bytes()
