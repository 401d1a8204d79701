"""Seasons to draw: the demo season summed by stage from its file, and any season that hypothesis can think of."""

from __future__ import annotations

import json
from collections import defaultdict
from dataclasses import replace
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from lots.trade.season import Branch, SeasonFlow, StageFlow, Stream
from lots.trade.weighing import Verdict

SEASON_FILE = Path(__file__).resolve().parents[2] / "fixtures" / "demo_season.json"
BY_PRODUCTS = {"stem", "vein and stem", "fines", "off-colour", "oversize"}


def summed() -> dict[str, dict[str, dict[str, float]]]:
    """Dry mass in mg by stage, side and material, and the number of nodes."""
    found: dict[str, dict[str, dict[str, float]]] = defaultdict(lambda: defaultdict(lambda: defaultdict(float)))
    for node in json.loads(SEASON_FILE.read_text(encoding="utf-8"))["nodes"]:
        for side in ("inp", "out", "dec"):
            for label, kg, moisture, *_ in node[side]:
                found[node["stage"]][side][label] += kg * 1e6 * (1 - moisture)
    return found


def _stage(name: str, note: str, label: str, input_mg: float, streams: list[Stream], usual: float, verdict: Verdict) -> StageFlow:
    rest = Stream("", Branch.UNEXPLAINED, input_mg - sum(s.dry_mg for s in streams), usual * input_mg, verdict)
    return StageFlow(name, note, label, input_mg, (*streams, rest))


def _streams(side: dict[str, float], main: str, words: str) -> list[Stream]:
    beside = [Stream(k, Branch.BY_PRODUCT, v) for k, v in side.items() if k in BY_PRODUCTS]
    return [Stream(words, Branch.MAIN, side[main]), *beside]


def demo() -> SeasonFlow:
    """The demo season from the oven to the sieve."""
    found: Any = summed()
    dry, refine, mill, store, sieve = (found[k] for k in ("dry", "refine", "mill", "store", "sieve"))
    to_stones = mill["inp"]["charges"] - mill["out"]["returned leaf"]
    missing = store["inp"]["refined leaf"] - sum(store["out"].values()) - sum(store["dec"].values())
    refined = refine["out"]["refined leaf"]
    swept = Stream("swept up", Branch.DECLARED, sum(refine["dec"].values()))
    shelf = [Stream("to the stones", Branch.MAIN, to_stones),
             Stream("still on the shelf", Branch.SHELF, refined - to_stones - missing)]
    adds, stop = Verdict.ADDS_UP, Verdict.STOP
    stages = (
        _stage("Oven", "12 lots", "fresh leaf", dry["inp"]["fresh leaf"], _streams(dry["out"], "crude leaf", "crude leaf"), 0.02, adds),
        _stage("Sorting", "12 lots", "crude leaf", refine["inp"]["crude leaf"],
               [*_streams(refine["out"], "refined leaf", "refined leaf"), swept], 0.008, stop),
        _stage("Shelf", "12 lots", "refined leaf", refined, shelf, 0.0, stop),
        _stage("Stones", "6 jobs", "leaf", to_stones, [Stream("in tubs", Branch.MAIN, mill["out"]["tubs"])], 0.008, adds),
        _stage("Sieve", "6 passes", "powder", sieve["inp"]["tubs"], _streams(sieve["out"], "through 150 um", "powder"), 0.003, adds),
    )
    return SeasonFlow(stages, "Season 2026: 582.7 kg dry leaf in, 212.2 kg powder out.")


def packed() -> SeasonFlow:
    """The demo season with its two packing runs: most powder is not taken on, so the ribbon forks before the last bar."""
    pack: Any = summed()["pack"]
    out = pack["out"]
    streams = [Stream("tins", Branch.MAIN, out["tins"]), Stream("bags", Branch.MAIN, out["bags"]),
               Stream("kept samples", Branch.SHELF, out["retained 8 tins"]), Stream("bulk left", Branch.SHELF, out["bulk left"])]
    last = _stage("Tins and bags", "2 runs", "powder", pack["inp"]["through 150 um"], streams, 0.004, Verdict.ADDS_UP)
    season = demo()
    return replace(season, stages=(*season.stages, last))


NAMES = st.sampled_from((
    "Oven", "Sorting", "Tins and bags", "石臼", "被覆と荷受の長い名前", "A stage with a very long name that nobody would choose", "",
    "<script>alert('x')</script>", "Supercalifragilisticexpialidocious", 'a & b \u0007 "c"',
))
MASSES = st.one_of(st.just(0.0), st.floats(1, 1e12), st.floats(1e3, 1e9), st.floats(1e6, 1e8))
VERDICTS = st.sampled_from((None, *Verdict))
LEAVING = st.sampled_from((Branch.BY_PRODUCT, Branch.DECLARED, Branch.SHELF, Branch.IN_MILL))


@st.composite
def stages(draw: st.DrawFn) -> StageFlow:
    mains = [Stream(draw(NAMES), Branch.MAIN, draw(MASSES)) for _ in range(draw(st.integers(0, 3)))]
    leaving = [Stream(draw(NAMES), draw(LEAVING), draw(MASSES)) for _ in range(draw(st.integers(0, 7)))]
    total = sum(s.dry_mg for s in (*mains, *leaving))
    rest = draw(st.one_of(st.just(0.0), st.floats(-0.4, 0.6))) * total
    verdict = draw(VERDICTS)
    usual = draw(st.one_of(st.none(), MASSES))
    unknown = verdict is Verdict.CANNOT and draw(st.booleans())
    difference = Stream(draw(st.sampled_from(("", "not found"))), Branch.UNEXPLAINED, float("nan") if unknown else rest, usual, verdict)
    return StageFlow(draw(NAMES), draw(st.sampled_from(("", "12 lots", "一二三四五六七八九十の札"))), draw(NAMES), total + rest,
                     (*mains, *leaving, difference))


SEASONS = st.builds(lambda found: SeasonFlow(tuple(found), 'A <season> & its "words".'), st.lists(stages(), max_size=7))
