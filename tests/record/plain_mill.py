"""A mill in plain Python: lots with masses, steps with what they drew, holds, packs by number. It knows nothing of the book's
tables or queries; the random history is played on both, and in the end both must say the same."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from decimal import Decimal

import networkx as nx

UNKNOWN = 0
Wet = tuple[Decimal, object]


@dataclass(eq=False)
class PlainStep:
    """One step: what it drew from which lot, what it opened. ``run`` is the first step of the run that it belongs to."""

    id: int
    stage: str
    part: str
    run: int
    draws: dict[PlainLot, int] = field(default_factory=dict)
    opens: list[PlainLot] = field(default_factory=list)
    differences: dict[PlainLot, int] = field(default_factory=dict)
    gone: bool = False


@dataclass(eq=False)
class PlainLot:
    """A quantity of one material: what is left, what its own weighing says, how it was used. ``wet`` is its moisture with
    the sample that it was measured on."""

    code: str
    material: str
    step: PlainStep
    stock_mg: int
    wet: Wet | None = None
    difference_mg: int = 0
    packs: PlainPacks | None = None

    def __post_init__(self) -> None:
        self.opened_mg = self.stock_mg
        self.step.opens.append(self)

    @property
    def dry_share(self) -> float:
        """Dry matter in a milligram; where nobody measured, the mass stands as it was read."""
        return 1.0 - float(self.wet[0] if self.wet else 0)


@dataclass(eq=False)
class PlainPacks:
    """A series: its numbers, those that are known to be away, and how many are away at all."""

    first_no: int
    last_no: int
    retained: bool
    numbers_away: set[int] = field(default_factory=set)
    away_count: int = 0
    sent: dict[int, list[tuple[int, int | None]]] = field(default_factory=dict)
    void: bool = False

    @property
    def here_count(self) -> int:
        """How many are in the house."""
        return 0 if self.void else self.last_no - self.first_no + 1 - self.away_count

    def send(self, step: int, count: int, first_no: int | None) -> None:
        """Packs leave, by number or by count."""
        self.sent.setdefault(step, []).append((count, first_no))
        self.away_count += count
        if first_no is not None:
            self.numbers_away |= set(range(first_no, first_no + count))

    def bring_back(self, step: int) -> None:
        """What one consignment took comes back."""
        for count, first_no in self.sent.pop(step):
            self.away_count -= count
            if first_no is not None:
                self.numbers_away -= set(range(first_no, first_no + count))


@dataclass(eq=False)
class PlainRun:
    """One job on one pair."""

    first: PlainStep
    pair: str
    job: str
    steps: list[PlainStep] = field(default_factory=list)
    closed_by: PlainStep | None = None

    @property
    def open(self) -> bool:
        """Whether it goes on."""
        return not self.first.gone and (self.closed_by is None or self.closed_by.gone)

    @property
    def last_load(self) -> PlainLot:
        """What was poured in last, and stands."""
        return next(lot for step in reversed(self.steps) if step.part == "load" and not step.gone for lot in step.draws)


class PlainMill:
    """All lots, steps, runs and holds."""

    def __init__(self) -> None:
        self.steps: dict[int, PlainStep] = {}
        self.of_run: dict[int, list[PlainStep]] = defaultdict(list)
        self.lots: dict[str, PlainLot] = {}
        self.runs: list[PlainRun] = []
        self.holds: dict[int, PlainLot] = {}

    # What happens ------------------------------------------------------------------------------------------------------

    def step(self, number: int, stage: str, part: str, run: int | None = None) -> PlainStep:
        """A step."""
        self.steps[number] = PlainStep(number, stage, part, run or number)
        self.of_run[run or number].append(self.steps[number])
        return self.steps[number]

    def lot(self, code: str, material: str, step: PlainStep, mass_mg: int, wet: Wet | None) -> PlainLot:
        """A lot is opened."""
        self.lots[code] = PlainLot(code, material, step, mass_mg, wet)
        return self.lots[code]

    def draw(self, step: PlainStep, lot: PlainLot, mass_mg: int) -> None:
        """Mass goes from a lot into a step."""
        lot.stock_mg -= mass_mg
        step.draws[lot] = step.draws.get(lot, 0) + mass_mg

    def take_back(self, step: PlainStep) -> None:
        """A step did not happen."""
        for lot, mass_mg in step.draws.items():
            lot.stock_mg += mass_mg
            if lot.packs is not None and step.id in lot.packs.sent:
                lot.packs.bring_back(step.id)
        step.draws = dict.fromkeys(step.draws, 0)
        for lot, mass_mg in step.differences.items():
            lot.stock_mg -= mass_mg
            lot.difference_mg -= mass_mg
        step.differences = {}
        for lot in step.opens:
            lot.stock_mg -= lot.opened_mg
            lot.opened_mg = 0
            if lot.packs is not None:
                lot.packs.void = True
        step.gone = True

    # What follows ------------------------------------------------------------------------------------------------------

    def used(self, step: PlainStep) -> bool:
        """Whether somebody used what a step made, or a run goes on after it."""
        drawn: dict[PlainLot, int] = defaultdict(int)
        for other in self.steps.values():
            for lot, mass_mg in other.draws.items():
                drawn[lot] += mass_mg
        goes_on = any(s is not step and not s.gone for s in self.of_run.get(step.id, ()))
        return goes_on or any(drawn[lot] or lot.difference_mg for lot in step.opens)

    def leaf_of(self, step: PlainStep) -> dict[PlainLot, int]:
        """What a step holds: its own draws and, in a run, all that was loaded before it was recorded."""
        found: dict[PlainLot, int] = defaultdict(int)
        if step.gone:
            return found
        for other in self.of_run[step.run]:
            for lot, mass_mg in other.draws.items() if other.id <= step.id else ():
                found[lot] += mass_mg
        return {lot: mass_mg for lot, mass_mg in found.items() if mass_mg > 0}

    def holds_leaf(self, step: PlainStep) -> bool:
        """Whether a step drew leaf or opened a lot."""
        return bool(step.draws or step.opens)

    def graph(self) -> nx.DiGraph:
        """Every step that leaf went through, an edge from where it came to where it went; ``dry`` is how much."""
        graph = nx.DiGraph()
        for step in self.steps.values():
            graph.add_node(step.id)
            for lot, mass_mg in self.leaf_of(step).items() if self.holds_leaf(step) else ():
                dry = mass_mg * lot.dry_share
                before = graph.get_edge_data(lot.step.id, step.id, {"dry": 0.0})["dry"]
                graph.add_edge(lot.step.id, step.id, dry=before + dry)
        return graph

    def shares(self, graph: nx.DiGraph) -> dict[int, dict[int, float]]:
        """Share of each harvest in each step, worked out from the fields forward; `UNKNOWN` where nothing went in."""
        found: dict[int, dict[int, float]] = {}
        for number in nx.topological_sort(graph):
            sources = {source: data["dry"] for source, _, data in graph.in_edges(number, data=True)}
            if self.steps[number].stage == "harvest":
                found[number] = {number: 1.0}
                continue
            whole = sum(sources.values())
            mixed: dict[int, float] = defaultdict(float)
            for source, dry in sources.items():
                for harvest, share in found[source].items():
                    mixed[harvest] += dry / whole * share
            found[number] = dict(mixed) if sources else {UNKNOWN: 1.0}
        return found

    def reach(self, lot: PlainLot, graph: nx.DiGraph) -> set[int]:
        """The steps whose lots hold leaf of a lot."""
        users = [s for s in self.steps.values() if s.draws.get(lot, 0) > 0]
        found: set[int] = set()
        for user in users:
            for step in self.of_run[user.run]:
                if step.id >= user.id and self.holds_leaf(step):
                    found |= {step.id} | nx.descendants(graph, step.id)
        return found

    def held(self, graph: nx.DiGraph) -> set[str]:
        """The codes of all lots on which a hold stands."""
        direct = {lot.code for lot in self.holds.values()}
        steps = set().union(*(self.reach(lot, graph) for lot in self.holds.values())) if self.holds else set()
        return direct | {lot.code for lot in self.lots.values() if lot.step.id in steps}
