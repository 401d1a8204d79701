"""The balance as a file, and the commands that make papers."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from openpyxl import load_workbook
from pypdf import PdfReader

from lots.dossier.balance_file import COLUMNS, write_balances
from lots.management.commands import labels
from lots.read.balances import nodes

#: The four places where the demo season's book is wrong, with the size of each.
PLANTED = {"R26-SG1 refining": 8.7, "R26-SG1 counting": -29.5, "J26-05 SP5 milling": 9.7, "J26-06 SP5 milling": -9.8}


def rows() -> list[dict[str, str]]:
    out = io.StringIO(newline="")
    assert write_balances(nodes(), out) == 74
    return list(csv.DictReader(io.StringIO(out.getvalue())))


def test_every_balance_is_a_row_and_the_planted_faults_stand_out(demo: None) -> None:
    found = rows()
    assert tuple(found[0]) == COLUMNS
    assert {f"{r['name']} {r['stage']}": round(float(r["z"]), 1) for r in found if r["verdict"] == "stop"} == PLANTED
    assert {r["verdict"] for r in found} == {"adds up", "stop"}


def test_another_program_can_work_each_balance_out_again(demo: None) -> None:
    for row in rows():
        sides = {side: sum(dry(part) for part in row[side].split()) for side in ("inputs", "outputs", "losses")}
        assert abs(sides["inputs"] - float(row["input_mg"])) < 1
        assert abs(sides["outputs"] - float(row["output_mg"])) < 1
        if row["stage"] != "counting":
            assert abs(sides["inputs"] - sides["outputs"] - sides["losses"] - float(row["d_mg"])) < 1
        assert row["lots_in"]


def dry(part: str) -> float:
    """A line as it is written: label, mass in mg, moisture as a share of the wet mass."""
    mass, _at, moisture = part.rpartition(":")[2].partition("@")
    return int(mass) * (1 - float(moisture))


def test_export_balance_prints_or_writes(demo: None, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("export_balance", output=tmp_path / "all.csv", verbosity=0)
    with (tmp_path / "all.csv").open(encoding="utf-8", newline="") as file:
        assert len(list(csv.DictReader(file))) == 74
    out = io.StringIO()
    call_command("export_balance", stage=["packing"], stdout=out, verbosity=0)
    assert [row["name"] for row in csv.DictReader(io.StringIO(out.getvalue()))] == ["K26-02", "K26-06"]


def test_the_dossier_command_writes_a_file(demo: None, tmp_path: Path) -> None:
    call_command("dossier", "K26-06", lang="ja", reader="inspector", output=tmp_path / "a.pdf", stdout=io.StringIO())
    assert PdfReader(tmp_path / "a.pdf").trailer["/Root"]["/Lang"] == "ja"  # type: ignore[index]
    with pytest.raises(CommandError, match="No lot or pack K99"):
        call_command("dossier", "K99", output=tmp_path / "b.pdf")
    assert not (tmp_path / "b.pdf").exists()


@pytest.mark.parametrize("begin", [
    ["--lot", "K26-06"], ["--plot", "P1", "--flush", "1"], ["--plot", "P1", "--from", "2026-05-01", "--until", "2026-05-31"],
    ["--pair", "SP5", "--from", "2026-07-01", "--until", "2026-07-20T18:00"],
])
def test_the_recall_command_writes_every_form(demo: None, tmp_path: Path, begin: list[str]) -> None:
    for ending in ("pdf", "xlsx", "csv"):
        path = tmp_path / f"a.{ending}"
        call_command("recall_report", *begin, "-o", str(path), stdout=io.StringIO())
        assert path.stat().st_size > 100
    assert load_workbook(tmp_path / "a.xlsx").sheetnames[0] == "Summary"


def test_the_recall_command_says_what_is_missing(demo: None, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="from when to when"):
        call_command("recall_report", "--pair", "SP5", "-o", str(tmp_path / "a.pdf"))
    with pytest.raises(CommandError, match="nobody could tell"):
        call_command("recall_report", "--lot", "K26-06", "-o", str(tmp_path / "a.doc"))
    with pytest.raises(CommandError, match="There is no sheet x; there are summary"):
        call_command("recall_report", "--lot", "K26-06", "--sheet", "x", "-o", str(tmp_path / "a.csv"))


def test_the_labels_command_joins_parts_and_asks_for_one_series(
    demo: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(labels, "LABELS_MAX", 24)
    call_command("labels", "K26-06", first=1, last=60, begin_at=13, output=tmp_path / "a.pdf", stdout=io.StringIO(), verbosity=0)
    text = [page.extract_text() for page in PdfReader(tmp_path / "a.pdf").pages]
    assert len(text) == 3
    assert ["pack 1\n" in text[0], "pack 13\n" in text[1], "pack 60\n" in text[2]] == [True] * 3
    call_command("labels", "R26-SG1", "S26-06", lots=True, output=tmp_path / "b.pdf", stdout=io.StringIO(), verbosity=0)
    assert len(PdfReader(tmp_path / "b.pdf").pages) == 1
    with pytest.raises(CommandError, match="Name one series"):
        call_command("labels", "K26-06", output=tmp_path / "c.pdf")
    with pytest.raises(CommandError, match="numbers 1 to 948"):
        call_command("labels", "K26-06", first=1, last=2000, output=tmp_path / "c.pdf", verbosity=0)
