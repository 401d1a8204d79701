"""Season files: the demo's seventy-four balances, other seasons of the same form, and broken ones that leave nothing behind."""

from __future__ import annotations

import copy
import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from lots.balance.closure import close
from lots.exchange.season import BrokenSeason, load
from lots.models import BOOK, JournalHead, Staff
from lots.read.balances import nodes
from lots.read.verifying import verify_book
from lots.trade.stages import SEASON_WORDS
from lots.trade.weighing import Expectation, ScaleData, Side, Weighing

pytestmark = pytest.mark.django_db
FILE = Path("fixtures/demo_season.json")
PLANTED = {("R26-SG1", "refining"), ("R26-SG1", "counting"), ("J26-05 SP5", "milling"), ("J26-06 SP5", "milling")}


@pytest.fixture(scope="module")
def demo() -> dict[str, Any]:
    return json.loads(FILE.read_text(encoding="utf-8"))


def put(data: Any, folder: Path) -> Path:
    path = folder / "season.json"
    path.write_text(data if isinstance(data, str) else json.dumps(data), encoding="utf-8")
    return path


def test_the_demo_season_gives_four_faults_exactly_where_the_book_is_wrong() -> None:
    load(FILE, {"name": "Mill"})
    found = nodes()
    wrong = {(n.name, n.stage) for n in found if n.balance.z is not None and abs(n.balance.z) > 3}
    healthy = [abs(n.balance.z) for n in found if n.balance.z is not None and (n.name, n.stage) not in PLANTED]
    assert len(found) == 74
    assert wrong == PLANTED
    assert len(healthy) == 70
    assert max(healthy) < 1.3
    assert verify_book() == []


def test_the_balances_come_out_as_a_file(capsys: pytest.CaptureFixture[str]) -> None:
    load(FILE, {"name": "Mill"})
    capsys.readouterr()
    call_command("export_balance")
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out.lstrip("\ufeff"))))
    assert len(rows) == 74
    assert sum(row["verdict"] == "stop" for row in rows) == 4
    worst = min(rows, key=lambda row: float(row["z"]))
    assert worst["lots_in"].startswith("R26-SG1")
    assert float(worst["z"]) == pytest.approx(-29.47, abs=0.01)
    assert {"d_mg", "u_mg", "e_mg", "inputs", "outputs", "losses", "stage"} <= set(rows[0])


# Further seasons of the form ------------------------------------------------------------------------------------------


def scaled(data: dict[str, Any]) -> dict[str, Any]:
    """Another season: other scale names, another zone, other expectations, two pairs fewer, no packs."""
    other = copy.deepcopy(data)
    names = {"S1": "INTAKE", "S2": "LEAF", "S3": "POWDER"}
    other["meta"]["scales"] = {names[k]: v for k, v in data["meta"]["scales"].items()}
    other["meta"]["time_zone"] = "Europe/Lisbon"
    other["meta"]["stage_expectation"]["mill"] = {"expected_loss_fraction": 0.009, "sd": 0.004}
    gone = {1, 2}
    other["runs"] = [r for r in other["runs"] if r["pair"] not in gone]
    other["cleaning"] = [c for c in other["cleaning"] if c["pair"] not in gone]
    other["packs"] = []
    other["nodes"] = [n for n in other["nodes"] if n["stage"] != "pack" and not n["node"].endswith(("pair 1", "pair 2"))]
    for node in other["nodes"]:
        for side in ("inp", "out", "dec"):
            for line in node[side]:
                line[3] = names[line[3]]
    return other


def by_the_file(data: dict[str, Any], node: dict[str, Any]) -> float:
    """z of a node from the file's own lines, samples tied as the ledger ties them."""
    meta, lines = data["meta"], []
    scales = {
        code: ScaleData(code, round(s["d"] * 1e6), round(s["e"] * 1e6), s["sr"] * 1e6, s["cls"], round(s["max"] * 1e6))
        for code, s in meta["scales"].items()
    }
    for side, where in (("inp", Side.IN), ("out", Side.OUT), ("dec", Side.LOST)):
        for label, kg, wet, scale, count, kind in node[side]:
            if kg == 0:
                continue
            sample = kind if node["stage"] in {"mill", "store", "sieve", "pack"} else label
            sample = "crude leaf" if label.startswith("spill") else sample
            lines.append(Weighing(where, label, round(kg * 1e6), count, wet, meta["u_moisture"][kind], sample, scales[scale]))
    usual = meta["stage_expectation"][node["stage"]]
    z = close(lines, Expectation(SEASON_WORDS[node["stage"]], usual["expected_loss_fraction"], usual["sd"])).z
    assert z is not None
    return z


def name_of(node: dict[str, Any]) -> tuple[str, str]:
    """The ledger's name of a balance, from the file's."""
    words = node["node"].split()
    stage = SEASON_WORDS[node["stage"]]
    if stage == "milling":
        return f"{words[1]} SP{words[3]}", stage
    letter = {"drying": "C26-", "refining": "R26-", "counting": "", "sieving": "", "packing": ""}[stage]
    return letter + words[1].replace("J", "S") if stage == "sieving" else letter + words[1], stage


def test_every_balance_of_the_demo_agrees_with_the_files_own_lines(demo: dict[str, Any]) -> None:
    load(FILE, {"name": "Mill"})
    found = {(n.name, n.stage): n.balance.z for n in nodes()}
    for node in demo["nodes"]:
        assert found[name_of(node)] == pytest.approx(by_the_file(demo, node), abs=0.01), node["node"]


def test_another_season_of_the_form_loads_and_is_judged_by_its_own_figures(demo: dict[str, Any], tmp_path: Path) -> None:
    other = scaled(demo)
    # Four pairs less two: what was charged, sieved and counted does not fit any more, so the book must say so, not refuse.
    load(put(other, tmp_path), {"name": "Another mill"})
    found = {(n.name, n.stage): n.balance.z for n in nodes(("drying", "refining", "milling"))}
    kept = [n for n in other["nodes"] if n["stage"] in {"dry", "refine", "mill"}]
    assert len(found) == len(kept)
    for node in kept:
        assert found[name_of(node)] == pytest.approx(by_the_file(other, node), abs=0.01), node["node"]
    assert verify_book() == []


def test_a_season_without_balance_nodes_loads_too(demo: dict[str, Any], tmp_path: Path) -> None:
    load(put({**demo, "nodes": []}, tmp_path), {"name": "Mill"})
    assert len(nodes()) == 74
    assert verify_book() == []


# Broken files ---------------------------------------------------------------------------------------------------------

Change = Callable[[dict[str, Any]], object]


def at(*way: Any, to: Any) -> Change:
    def change(data: dict[str, Any]) -> None:
        here: Any = data
        for part in way[:-1]:
            here = here[part]
        here[way[-1]] = to

    return change


def without(*way: Any) -> Change:
    def change(data: dict[str, Any]) -> None:
        here: Any = data
        for part in way[:-1]:
            here = here[part]
        del here[way[-1]]

    return change


BREAKAGES: list[tuple[str, Change, str]] = [
    ("no harvest", without("harvest"), "harvest"),
    ("no scales", without("meta", "scales"), "meta"),
    ("fresh kg missing", without("harvest", 3, "fresh_kg"), "harvest[3]"),
    ("text for a mass", at("harvest", 2, "crude_kg", to="58,73"), "harvest[2].crude_kg"),
    ("negative mass", at("refine", 1, "fines_kg", to=-2.08), "refine[1].fines_kg"),
    ("moisture of one", at("jobs", 0, "powder_w", to=1), "jobs[0].powder_w"),
    ("moisture per 100", at("harvest", 0, "fresh_w", to=80.3), "harvest[0].fresh_w"),
    ("moisture missing", without("refine", 4, "refined_w"), "refine[4]"),
    ("no such day", at("harvest", 5, "date", to="2026-02-30"), "harvest[5].date"),
    ("no such clock", at("runs", 7, "start", to="tomorrow"), "runs[7].start"),
    ("hours below nothing", at("runs", 7, "hours", to=-1), "runs[7].hours"),
    ("unknown plot", at("harvest", 6, "plot", to="P9"), "harvest[6].plot"),
    ("unknown job", at("runs", 9, "job", to="J99-99"), "runs[9].job"),
    ("unknown refined lot", at("jobs", 2, "lot", to="R26-XX9"), "jobs[2].lot"),
    ("refined of no harvest", at("refine", 3, "lot", to="R26-XX9"), "refine[3].lot"),
    ("packs of no job", at("packs", 0, "job", to="J26-99"), "packs[0].job"),
    ("clean-down of no job", at("cleaning", 0, "after", to="J26-99"), "cleaning[0].after"),
    ("a harvest twice", lambda d: d["harvest"].append(d["harvest"][0]), "harvest[0].lot"),
    ("a run twice", lambda d: d["runs"].append(d["runs"][0]), "runs[258]"),
    ("a plot twice", lambda d: d["plots"].append(d["plots"][0]), "plots[0].id"),
    ("no tub", at("runs", 4, "tub_kg", to=0), "runs[4].tub_kg"),
    ("no charge", at("runs", 4, "charge_kg", to=0), "runs[4].charge_kg"),
    ("unknown scale", at("nodes", 0, "inp", 0, 3, to="S9"), "nodes[0].inp[0]"),
    ("a line of five", at("nodes", 0, "out", 1, to=["stem", 9.99, 0.051, "S2", 1]), "nodes[0].out[1]"),
    ("unknown stage", at("nodes", 0, "stage", to="roast"), "nodes[0].stage"),
    ("no bags", at("harvest", 0, "bags", to=0), "harvest[0].bags"),
    ("bags by half", at("harvest", 0, "bags", to=16.5), "harvest[0].bags"),
    ("flush of nothing", at("harvest", 0, "flush", to=0), "harvest[0].flush"),
    ("unknown state", at("plots", 0, "org", to="wild"), "plots[0].org"),
    ("unknown class", at("meta", "scales", "S2", "cls", to="V"), "meta.scales.S2.cls"),
    ("no division", at("meta", "scales", "S2", "d", to=0), "meta.scales.S2.d"),
    ("list for an object", at("meta", to=[]), "meta"),
    ("a reading beyond the season", at("harvest", 0, "fresh_kg", to=1e30), "harvest[0].fresh_kg"),
    ("no time zone of the world", at("meta", "time_zone", to="Mars/Olympus"), "meta.time_zone"),
    ("runs of one pair on top of each other", at("runs", 1, "start", to="2026-06-02T10:00+09:00"), "runs[1]"),
]


def assert_nothing_stands() -> None:
    assert not JournalHead.objects.filter(size__gt=0).exists()
    assert [m for m in BOOK if m._default_manager.exists()] == []


@pytest.mark.parametrize(("change", "place"), [b[1:] for b in BREAKAGES], ids=[b[0] for b in BREAKAGES])
def test_a_broken_file_names_its_place_and_leaves_nothing(demo: dict[str, Any], tmp_path: Path, change: Change, place: str) -> None:
    data = copy.deepcopy(demo)
    change(data)
    with pytest.raises(BrokenSeason) as broken:
        load(put(data, tmp_path), {"name": "Mill"})
    assert place in str(broken.value)
    assert_nothing_stands()


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "null", '{"meta": NaN}', "not json at all"], ids=["empty", "cut off", "a list", "null", "NaN", "words"]
)
def test_what_is_no_season_at_all_is_refused_in_a_sentence(tmp_path: Path, text: str) -> None:
    with pytest.raises(BrokenSeason, match=r"season\.json"):
        load(put(text, tmp_path), {"name": "Mill"})
    assert_nothing_stands()


def test_other_bytes_and_no_file_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "season.json"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BrokenSeason, match="cannot be read"):
        load(path, {"name": "Mill"})
    with pytest.raises(BrokenSeason, match="cannot be read"):
        load(tmp_path / "nowhere.json", {"name": "Mill"})


def test_a_file_that_breaks_late_leaves_nothing_either(demo: dict[str, Any], tmp_path: Path) -> None:
    """The last packing run asks for more packs than a series holds: hundreds of acts went before it."""
    data = copy.deepcopy(demo)
    data["packs"][1]["tins_30g"] = 10**6
    data["packs"][1]["bags_100g"] = 10**6
    with pytest.raises(BrokenSeason, match=r"packs\[1\]"):
        load(put(data, tmp_path), {"name": "Mill"})
    assert_nothing_stands()


def test_a_book_with_entries_is_not_loaded_over() -> None:
    load(FILE, {"name": "Mill"})
    size = JournalHead.objects.get().size
    with pytest.raises(CommandError, match="empty book"):
        call_command("load_season", str(FILE), verbosity=0)
    assert JournalHead.objects.get().size == size
    assert Staff.objects.count() == 6
