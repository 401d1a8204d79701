"""A made-up mill for the search for slips: some lots from sorting to packs, every figure drawn with a seed, one slip planted."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass, replace

from lots.balance.slips import SlipKind
from lots.balance.suspect_records import Book, Node, Reading, Rework, Touch, UsualShare

DRY = {"crude": 0.95, "leaf": 0.97, "powder": 0.955}
USUAL = (
    UsualShare("refining", "vein_stem", 0.15, 0.012), UsualShare("refining", "fines", 0.035, 0.004), UsualShare("refining", "off_colour", 0.02, 0.003),
)


@dataclass
class Line:
    """A reading as it truly was, before anybody typed it."""

    key: str
    lot: str
    role: str
    true_mg: int
    division_mg: int
    touches: list[Touch]


class Mill:
    """Draws a season; ``book()`` is what stands in the ledger after ``typed`` replaced some readings."""

    def __init__(self, seed: int, lot_count: int = 4, pair_count: int = 4, charge_count: int = 5) -> None:
        self.dice = random.Random(seed)
        self.nodes: list[Node] = []
        self.lines: list[Line] = []
        self.extra_mg: dict[int, tuple[float, float]] = {}
        for number in range(lot_count):
            self.grow(f"L{number}", pair_count, charge_count)
        order = sorted(range(len(self.nodes)), key=lambda i: self.nodes[i].step)
        place = {old: new for new, old in enumerate(order)}
        self.nodes = [self.nodes[i] for i in order]
        for line in self.lines:
            line.touches = [replace(t, node=place[t.node]) for t in line.touches]

    def node(self, stage: str, machine: str, loss: float, sd: float) -> int:
        self.nodes.append(Node(len(self.nodes), stage, machine, 0.0, 0.0, 0.0, loss, sd))
        return len(self.nodes) - 1

    def line(self, lot: str, role: str, mass_mg: float, division_mg: int, *touches: Touch) -> float:
        read = max(division_mg, round(mass_mg / division_mg) * division_mg)
        self.lines.append(Line(f"line {len(self.lines)}", lot, role, int(read), division_mg, list(touches)))
        return read

    def grow(self, lot: str, pair_count: int, charge_count: int) -> None:
        sort, shelf = self.node("refining", "SORT1", 0.008, 0.003), self.node("counting", "", 0.0, 0.002)
        crude = self.line(lot, "crude_leaf", self.dice.uniform(35e6, 70e6), 10_000, Touch(sort, DRY["crude"], DRY["crude"])) * DRY["crude"]
        lost = crude * self.dice.gauss(0.008, 0.0015)
        rest = crude - lost
        for share in USUAL:
            part = crude * self.dice.gauss(share.share_frac, share.sd_frac)
            rest -= self.line(lot, share.role, part / DRY["crude"], 10_000, Touch(sort, -DRY["crude"], 0.0)) * DRY["crude"]
        leaf = DRY["leaf"]
        refined = self.line(lot, "refined_leaf", rest / leaf, 10_000, Touch(sort, -leaf, 0.0), Touch(shelf, leaf, leaf))
        for pair in range(pair_count):
            run = self.node("milling", f"SP{pair}", 0.008, 0.0035)
            loaded = 0.0
            for _ in range(charge_count):
                charge = self.line(lot, "charge", self.dice.uniform(0.85e6, 0.95e6), 1000, Touch(run, leaf, leaf), Touch(shelf, -leaf, 0.0))
                loaded, refined = loaded + charge, refined - charge
            out = loaded * leaf * (1 - self.dice.gauss(0.008, 0.0015))
            for left in range(charge_count, 0, -1):
                tub = out / left * self.dice.uniform(0.98, 1.02) if left > 1 else out
                out -= self.line(lot, "tub_powder", tub / DRY["powder"], 1000, Touch(run, -DRY["powder"], 0.0)) * DRY["powder"]
        self.line(lot, "counted", refined + self.dice.gauss(0, 0.0005) * refined, 10_000, Touch(shelf, -leaf, 0.0))

    # Slips ---------------------------------------------------------------------------------------------------------------

    def book(self, typed: dict[str, int] | None = None, missing: str = "", rework: tuple[Rework, ...] = ()) -> Book:
        typed = typed or {}
        sums = {i: [0.0, 0.0, 0.0] for i in range(len(self.nodes))}
        roles: dict[int, set[str]] = {i: set() for i in sums}
        for line in self.lines:
            if line.key == missing:
                continue
            mass = typed.get(line.key, line.true_mg)
            for t in line.touches:
                u_mg = math.hypot(line.division_mg / math.sqrt(12), line.division_mg / 2) * abs(t.dry_frac)
                sums[t.node][0] += t.dry_frac * mass
                sums[t.node][1] += t.input_frac * mass
                sums[t.node][2] += u_mg**2
                roles[t.node].add(line.role)
        for i, (d_mg, input_mg) in self.extra_mg.items():
            sums[i][0], sums[i][1] = sums[i][0] + d_mg, sums[i][1] + input_mg
        nodes = tuple(
            replace(n, d_mg=sums[i][0], input_mg=sums[i][1], u_mg=math.sqrt(sums[i][2]), roles=frozenset(roles[i]))
            for i, n in enumerate(self.nodes)
        )
        readings = tuple(
            Reading(x.key, x.lot, x.role, typed.get(x.key, x.true_mg), x.division_mg, tuple(x.touches)) for x in self.lines if x.key != missing
        )
        return Book(nodes, readings, rework, USUAL)

    def some_line(self, fits: Callable[[Line], bool] = lambda _: True) -> Line:
        return self.dice.choice([line for line in self.lines if fits(line)])

    def mistyped(self, kind: SlipKind) -> tuple[Line, int]:
        """A reading and what a hand made of it, by rules of its own, not by those under test."""
        while True:
            line = self.some_line()
            shown = line.true_mg // line.division_mg
            text = str(shown)
            at = self.dice.randrange(len(text))
            if kind is SlipKind.SWAPPED and at + 1 < len(text):
                text = text[:at] + text[at + 1] + text[at] + text[at + 2:]
            elif kind is SlipKind.PLACE:
                text = self.dice.choice([text + "0", text + "00", text[:-1]])
            elif kind is SlipKind.UNIT:
                text += "000"
            elif kind is SlipKind.DOUBLED:
                at = 0
                text = text[0] + text
            elif kind is SlipKind.DROPPED:
                text = text[1:]
            typed = int(text or 0) * line.division_mg
            exact = kind is not SlipKind.PLACE or len(text) > len(str(shown)) or shown % 10 == 0
            if typed > 0 and typed != line.true_mg and exact:
                return line, typed
