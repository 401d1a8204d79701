"""Lineage sheets to draw: one packing run of the demo season, blends of any size, and sheets that hypothesis thinks of."""

from __future__ import annotations

import itertools
import random

from hypothesis import strategies as st

from lots.trade.lineage import Arrow, Box, Ending, LineageSheet, Tier
from lots.trade.weighing import Verdict

NBSP = "\u00a0"
COLUMNS = ("Field plot", "Plucking", "Oven", "Sorting", "Stones", "Sieve", "Packing", "Gone to")
IN, TOUCHED, OUT = Tier

ROWS: tuple[tuple[Tier, tuple[tuple[int, str, tuple[str, ...], Verdict | None], ...]], ...] = (
    (IN, ((0, "P5", ("Long Mist", "Okuyutaka"), None), (1, "H26-LM1", ("Fri 05-15", "organic"), Verdict.ADDS_UP),
          (3, "R26-LM1", ("refined leaf", "47.55 kg"), Verdict.ADDS_UP), (4, "J26-06", ("6 pairs", "07-12 to 20"), Verdict.STOP),
          (5, "S26-06", ("150 µm", "40.24 kg"), Verdict.ADDS_UP), (6, "K26-06", ("956 tins", "109 bags", "0.290 kg"), None))),
    (TOUCHED, ((0, "P2", ("Heron Bend", "Saemidori"), None), (1, "H26-HB1", ("Sun 05-03", "conventional"), Verdict.ADDS_UP),
               (3, "R26-HB1", ("refined leaf", "46.04 kg"), Verdict.ADDS_UP), (4, "J26-05", ("pair 5", "not cleaned"), Verdict.STOP))),
    (OUT, ((0, "P4", ("Old Ferry", "Meiryoku"), None), (1, "H26-OF1", ("Sat 05-09", "in conversion"), Verdict.ADDS_UP),
           (3, "R26-OF1", ("refined leaf", "42.78 kg"), Verdict.ADDS_UP), (4, "J26-04", ("6 pairs", "all cleaned"), Verdict.ADDS_UP))),
)
GONE = (("Tea Room North", "360 tins"), ("Cafe Delta", "240 tins, 40 bags"), ("Example Importer East", "300 tins, 60 bags"),
        ("here, on hand", "56 tins, 9 bags"))


def packing() -> LineageSheet:
    """Packing run K26-06: contains one plot, may have touched a second, a third is excluded."""
    boxes, arrows = [], []
    for tier, row in ROWS:
        boxes += [Box(title, c, title, lines, tier, verdict, f"/lot/{title}", title == "K26-06") for c, title, lines, verdict in row]
        keys = [title for _, title, _, _ in row]
        arrows += [Arrow(a, b, IN, f"342{NBSP}kg", f"100{NBSP}%") for a, b in itertools.pairwise(keys)]
    boxes += [Box(name, 7, name, (words,), IN, None, f"/to/{i}") for i, (name, words) in enumerate(GONE)]
    arrows += [Arrow("K26-06", name, IN) for name, _ in GONE]
    arrows.append(Arrow("J26-05", "J26-06", TOUCHED))
    endings = (
        Ending("J26-05", "0.31 kg of leaf, at most 0.36", "left in the hopper of pair 5, then the common sieve", barred=False),
        Ending("J26-04", "stops here: clean-down of all six pairs", "Thu 2026-07-02, between J26-04 and J26-05", barred=True),
    )
    return LineageSheet(COLUMNS, tuple(boxes), tuple(arrows), endings, "Packing K26-06: contains leaf of plot P5.")


def blend(count: int, seed: int = 1) -> LineageSheet:
    """``count`` lots through three jobs into two packing runs, with rework, left-over, contact and something excluded."""
    r = random.Random(seed)

    def kg() -> tuple[str, str]:
        return f"{r.uniform(1, 900):.1f}{NBSP}kg", f"{r.uniform(1, 100):.1f}{NBSP}%"

    boxes, arrows = [], []
    for column, letter in enumerate("PHCR"):
        boxes += [Box(f"{letter}{i}", column, f"{letter}26-{i}", ("Lantern Terrace", "refined leaf"), IN, Verdict.LOOK, f"/{letter}{i}")
                  for i in range(count)]
    for i in range(count):
        arrows += [Arrow(f"{a}{i}", f"{b}{i}", IN, *kg()) for a, b in ("PH", "HC", "CR")]
        arrows += [Arrow(f"R{i}", f"J{j}", IN, *kg()) for j in r.sample(range(3), r.choice((1, 2)))]
    boxes += [Box(f"{letter}{j}", c, f"{letter}26-{j}", ("6 pairs",), IN, Verdict.STOP) for c, letter in ((4, "J"), (5, "S")) for j in range(3)]
    boxes += [Box("K0", 6, "K26-0", ("900 tins",), IN, None, "", scanned=True), Box("K1", 6, "K26-1", ("100 bags",), IN)]
    boxes += [Box(f"G{i}", 7, name, (words,), IN) for i, (name, words) in enumerate(GONE)]
    arrows += [Arrow(f"J{j}", f"S{j}", IN, *kg()) for j in range(3)] + [Arrow(f"S{j}", "K0", IN, *kg()) for j in range(3)]
    arrows += [Arrow("S2", "K1", IN, *kg()), Arrow("R0", "K1", IN, *kg()), Arrow("S0", "J1", IN, *kg()), Arrow("J0", "J1", IN, *kg())]
    arrows += [Arrow("K0", f"G{i}", IN) for i in range(4)]
    boxes += [Box(f"T{i}", 4, f"J26-T{i}", ("not cleaned",), TOUCHED, Verdict.STOP) for i in range(2)]
    arrows += [Arrow(f"T{i}", "J0", TOUCHED, f"at most 0.4{NBSP}kg") for i in range(2)] + [Arrow("T1", "K0", TOUCHED, "at most 9 g")]
    boxes.append(Box("X", 4, "J26-X", ("all cleaned",), OUT, Verdict.ADDS_UP))
    return LineageSheet(COLUMNS, tuple(boxes), tuple(arrows), (Ending("X", "stops here", "clean-down", barred=True),), "A blend.")


TITLES = st.sampled_from(("R26-LM1", "石臼の長い名前の札", "Example Importer East and Sons of the Northern Valley", '<&">', "Aaaaaaaaaaaaaaaaaaaaaaaaaaa", ""))
WORDS = st.sampled_from(("", f"342{NBSP}kg", f"12,342.55{NBSP}kg", f"at most 0.36{NBSP}kg"))


@st.composite
def sheets(draw: st.DrawFn) -> LineageSheet:
    boxes = []
    for i in range(draw(st.integers(1, 14))):
        lines = tuple(draw(st.lists(TITLES, max_size=3)))
        boxes.append(Box(f"b{i}", draw(st.integers(0, 7)), draw(TITLES), lines, draw(st.sampled_from(Tier)),
                         draw(st.sampled_from((None, *Verdict))), draw(st.sampled_from(("", "/lot"))), scanned=i == 0))
    keys = st.sampled_from([b.key for b in boxes])
    pairs = draw(st.lists(st.tuples(keys, keys), max_size=20, unique=True))
    arrows = tuple(Arrow(a, b, draw(st.sampled_from(Tier)), draw(WORDS), draw(WORDS)) for a, b in pairs if a != b)
    ending_keys = draw(st.lists(keys, max_size=4))
    endings = tuple(Ending(k, draw(TITLES), "a clean-down of all six pairs on a Thursday", draw(st.booleans())) for k in ending_keys)
    return LineageSheet(COLUMNS, tuple(boxes), arrows, endings, "A <sheet>.")


SHEETS = sheets()
