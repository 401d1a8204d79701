"""Seasons that nobody has seen before, made by a seed: they load, and are judged by their own figures; bent ones are refused."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from lots.exchange.season import BrokenSeason, load
from lots.models import BOOK, Cultivar, HarvestFlush, JournalEntry, JournalHead, MillingTub, PackedUnit, Step, StonePair
from lots.read.balances import nodes
from lots.read.verifying import verify_book
from tests.exchange.made_seasons import ZONES, MadeSeason
from tests.exchange.test_season import by_the_file, name_of

pytestmark = pytest.mark.django_db
Data = dict[str, Any]
SEASONS = [
    MadeSeason(seed, pair_count=1 + seed % 3, job_count=1 + seed % 4, runs_each=1 + seed % 3, zone=ZONES[seed % len(ZONES)])
    for seed in range(1, 7)
]


def put(data: Data, folder: Path) -> Path:
    path = folder / "made.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    return path


@pytest.fixture
def made() -> Data:
    """One small season: two pairs, two jobs."""
    return json.loads(json.dumps(MadeSeason(11, pair_count=2, job_count=2, zone="Europe/Lisbon").whole()))


@pytest.mark.parametrize("season", SEASONS, ids=lambda season: f"seed {season.seed}")
def test_a_season_that_nobody_has_seen_loads_and_is_judged_by_its_own_figures(season: MadeSeason, tmp_path: Path) -> None:
    data = season.whole()
    count = load(put(data, tmp_path), {"name": "Another mill"})
    assert JournalEntry.objects.count() == count
    found = {(n.name, n.stage): n.balance.z for n in nodes()}
    assert set(found) == {name_of(node) for node in data["nodes"]}
    for node in data["nodes"]:
        assert found[name_of(node)] == pytest.approx(by_the_file(data, node), abs=1e-6), node["node"]
    assert max(abs(z) for z in found.values() if z is not None) < 2
    assert not Step.objects.exclude(questioned="").exists()
    assert verify_book() == []


@pytest.mark.parametrize("season", SEASONS[:4], ids=lambda season: f"seed {season.seed}")
def test_hours_since_dressing_are_the_file_s_through_every_dressing(season: MadeSeason, tmp_path: Path) -> None:
    data = MadeSeason(season.seed + 20, 3, 4, zone=season.zone).whole()
    load(put(data, tmp_path), {"name": "Mill"})
    told = {f"T{r['job'][1:]}-{r['pair']}-{r['n']}": r["hours_since_dressing"] for r in data["runs"]}
    stand = {t.step.opened.get().maker_ref: float(t.dressed_h) for t in MillingTub.objects.select_related("step")}
    assert stand == pytest.approx(told, abs=0.01)
    assert StonePair.objects.filter(version__gt=1).exists()
    assert verify_book() == []


@pytest.mark.parametrize("gone", ["dry", "refine", "store", "mill", "sieve", "pack"])
def test_nodes_that_are_missing_take_nothing_from_the_others(made: Data, tmp_path: Path, gone: str) -> None:
    made["nodes"] = [node for node in made["nodes"] if node["stage"] != gone]
    load(put(made, tmp_path), {"name": "Mill"})
    found = {(n.name, n.stage): n.balance.z for n in nodes()}
    for node in made["nodes"]:
        assert found[name_of(node)] == pytest.approx(by_the_file(made, node), abs=1e-6), node["node"]
    assert verify_book() == []


def test_packs_of_one_kind_only_make_one_series(made: Data, tmp_path: Path) -> None:
    load(put(made, tmp_path), {"name": "Mill"})
    kinds = [sorted(step.series.values_list("product__code", flat=True)) for step in Step.objects.filter(stage="packing").order_by("pk")]
    assert kinds == [["B100", "T30"], ["T30"]]
    assert PackedUnit.objects.filter(retained=True).count() == 0


def test_a_job_on_the_morning_after_plucking_is_sorted_before_its_first_charge(made: Data, tmp_path: Path) -> None:
    first = dt.datetime.fromisoformat(min(run["start"] for run in made["runs"]))
    made["harvest"][0]["date"] = (first.date() - dt.timedelta(days=1)).isoformat()
    load(put(made, tmp_path), {"name": "Mill"})
    sorting = Step.objects.filter(stage="refining").earliest("pk")
    charge = Step.objects.filter(stage="milling").earliest("pk")
    assert sorting.pk < charge.pk
    assert sorting.happened_at < charge.happened_at
    assert verify_book() == []


def test_a_cultivar_with_a_long_name_and_text_typed_apart_find_each_other(made: Data, tmp_path: Path) -> None:
    for plot in made["plots"]:
        plot["cv"] = "Native seedlings of the upper valley, u\u0308ber alles"
    load(put(made, tmp_path), {"name": "Mill"})
    names = set(Cultivar.objects.values_list("code", "name"))
    assert names == {("CV1", "Native seedlings of the upper valley, \u00fcber alles")}
    assert set(HarvestFlush.objects.values_list("cultivar__code", flat=True)) == {"CV1"}
    assert verify_book() == []


# Bent --------------------------------------------------------------------------------------------------------------------

Bend = Callable[[Data], object]
BENDS: list[tuple[str, Bend, str]] = [
    ("NaN in a mass", lambda d: d["harvest"][1].update(fresh_kg=float("nan")), "harvest[1].fresh_kg: nan is not a number"),
    ("Infinity in a line", lambda d: d["nodes"][0]["inp"][0].__setitem__(1, float("inf")), "nodes[0].inp[0][1]: inf is not a number"),
    ("bags as 15.0", lambda d: d["harvest"][0].update(bags=15.0), "harvest[0].bags: a whole number belongs here, and 15.0 stands"),
    ("true for a count", lambda d: d["harvest"][0].update(bags=True), "harvest[0].bags: a whole number belongs here"),
    ("null for a day", lambda d: d["jobs"][1].update(start=None), "jobs[1].start: a text belongs here, and null stands"),
    ("a table missing", lambda d: d.pop("cleaning"), "the whole file: cleaning is missing"),
    ("a key missing", lambda d: d["runs"][2].pop("hours"), "runs[2]: hours is missing"),
    ("a day of another century", lambda d: d["harvest"][0].update(date="1926-05-02"), "harvest[0].date"),
    ("the last day of all", lambda d: d["harvest"][0].update(date="9999-12-31"), "harvest[0].date"),
    ("a thirteenth month", lambda d: d["runs"][0].update(start="2026-13-02T09:00+09:00"), "runs[0].start"),
    ("a time without a zone", lambda d: d["runs"][0].update(start="2026-05-03T09:00"), "runs[0].start"),
    ("a name with a blank at its end", lambda d: d["plots"][0].update(name="Field 1 "), "plots[0].name"),
    ("a sign that cannot be printed", lambda d: d["plots"][0].update(name="Fie\x00ld"), "plots[0].name"),
    ("half a character", lambda d: d["plots"][0].update(name="Field \ud800"), "plots[0].name"),
    ("a plot's name of nothing", lambda d: d["plots"][0].update(name=""), "plots[0].name: an empty text stands here"),
    ("a plot id of 17 signs", lambda d: d["plots"][0].update(id="p" * 17), "plots[0].id"),
    ("a division of a millionth of a gram", lambda d: d["meta"]["scales"]["YARD11"].update(d=1e-9), "meta.scales.YARD11.d"),
    ("a scatter of nothing", lambda d: d["meta"]["stage_expectation"]["mill"].update(sd=0), "meta.stage_expectation.mill.sd"),
    ("a mass below nothing in a node", lambda d: d["nodes"][0]["out"][0].__setitem__(1, -0.2), "nodes[0].out[0]: -0.2 kg is less than nothing"),
    ("a harvest with the name of powder", lambda d: d["harvest"][1].update(lot="S26-01"), "S26-01"),
    ("packs with the name of leaf", lambda d: d["packs"][0].update(lot="R26-F1"), "R26-F1 already"),
    ("two lots that differ in their letter only", lambda d: d["harvest"][1].update(lot="X26-F1"), "C26-F1 already (harvest[0].lot)"),
    ("a job without runs", lambda d: d.update(runs=[r for r in d["runs"] if r["job"] != "J26-02"], cleaning=[]), "jobs[1].job: no run belongs"),
    ("a clean-down of a pair that did not run", lambda d: d["cleaning"][0].update(pair=9), "cleaning[0].pair: pair 9 did not run"),
    ("packs of nothing", lambda d: d["packs"][1].update(tins_30g=0), "packs[1]: nothing was filled"),
    ("a job that ends before it begins", lambda d: d["jobs"][0].update(end="2026-05-01"), "jobs[0].end: 2026-05-01 lies before"),
    ("a tub after its job's end", lambda d: d["runs"][-1].update(hours=300), "runs[7].hours: the tub comes off after the end of job J26-02"),
    ("leaf milled before it was plucked", lambda d: d["harvest"][0].update(date="2026-07-01"), "runs[0].start: the leaf of R26-F1"),
    ("leaf milled on the morning it was plucked", lambda d: d["harvest"][0].update(date=d["runs"][0]["start"][:10]), "cannot be on the stones"),
    ("two jobs that take turns on a pair", lambda d: d["runs"][1].update(job="J26-02"), "runs["),
    ("leaf of next year", lambda d: d["harvest"].append({**d["harvest"][0], "lot": "H26-F9", "date": "2098-05-01"}), "harvest[2]: "),
    ("no crude leaf", lambda d: d["harvest"][1].update(crude_kg=0), "harvest[1]: "),
    ("no powder through the sieve", lambda d: d["jobs"][1].update(through_kg=0), "jobs[1]: "),
    ("a tin of no weight", lambda d: d["packs"][0].update(mean_tin_g=0), "packs[0]: "),
    ("packs filled twice of one powder", lambda d: d["packs"].append({**d["packs"][0], "lot": "K26-99"}), "packs[2]: "),
]


@pytest.mark.parametrize(("bend", "place"), [b[1:] for b in BENDS], ids=[b[0] for b in BENDS])
def test_a_bent_file_is_refused_at_its_place_in_one_sentence_and_nothing_stands(
    made: Data, tmp_path: Path, bend: Bend, place: str
) -> None:
    bend(made)
    path = put(made, tmp_path)
    with pytest.raises(BrokenSeason) as broken:
        load(path, {"name": "Mill"})
    assert place in str(broken.value)
    with pytest.raises(CommandError) as refused:
        call_command("load_season", str(path), verbosity=0)
    told = str(refused.value)
    assert told.startswith("Nothing was loaded. made.json, ")
    assert "\n" not in told
    assert told.endswith(".")
    assert not told.endswith("..")
    assert not JournalHead.objects.filter(size__gt=0).exists()
    assert [m for m in BOOK if m._default_manager.exists()] == []


@pytest.mark.parametrize(("text", "match"), [
    ('{"plots": [], "plots": []}', "plots stands twice in one object"),
    ("[" * 100_000, "is not JSON"),
    ('{"meta": {}} {}', "is not JSON"),
    ("\ufeff{}", "is not JSON"),
    ('{"meta": 1e999}', "meta: inf is not a number"),
])
def test_what_nobody_can_read_is_refused_in_a_sentence(tmp_path: Path, text: str, match: str) -> None:
    path = tmp_path / "made.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BrokenSeason, match=match):
        load(path, {"name": "Mill"})


def test_every_truncation_of_a_file_is_refused(made: Data, tmp_path: Path) -> None:
    whole = json.dumps(made)
    path = tmp_path / "made.json"
    for end in range(0, len(whole) - 1, len(whole) // 40):
        path.write_text(whole[:end], encoding="utf-8")
        with pytest.raises(BrokenSeason, match="is not JSON"):
            load(path, {"name": "Mill"})
    assert not JournalHead.objects.filter(size__gt=0).exists()
