"""A book of any size, written straight into the tables: many growers, blends at the sieve, rework.

The proportions are those of a year of a bigger mill: a packing step has about a hundred steps above it and some twenty
harvests in it; about an eighth of the hopper charges take in oversize of an earlier pass. Rows only: no journal proof is
made of them but an entry for each step, so that look-ups meet tables of the right size.
"""

from __future__ import annotations

import datetime as dt
import json
import random
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.db import connection, models, transaction

from lots.codes.lots import new_lot_code
from lots.genealogy.composition import mix
from lots.journal.tree import Frontier
from lots.models import (
    Composition,
    Consignment,
    Cultivar,
    Edge,
    Equipment,
    FieldPlot,
    Flow,
    HarvestFlush,
    JournalEntry,
    JournalHead,
    Lot,
    LotEntry,
    MillingClose,
    MillingRun,
    MillingTub,
    Origin,
    PackedUnit,
    PackFace,
    PackingRun,
    PackMove,
    PackSecret,
    Party,
    Product,
    Scale,
    Screen,
    SievePass,
    Step,
    Stock,
    StonePair,
)
from lots.record.inserting import insert

BEGAN = dt.datetime(2016, 4, 1, tzinfo=dt.UTC)
SIEVES_A_RUN, TUBS_A_SIEVE, REWORK = 2.5, 4, 0.12
ORDER = (JournalEntry, Step, Lot, Flow, LotEntry, HarvestFlush, MillingRun, MillingTub, MillingClose, SievePass, PackingRun, Consignment, PackedUnit, PackMove,
         PackSecret, Stock, Edge, Origin, Composition, PackFace)


@dataclass
class Size:
    """How big a book is: harvests and packing runs (1 x: 400 and 1,000; 23 steps to a packing run)."""

    harvests: int
    packing_runs: int

    def times(self, factor: int) -> Size:
        return Size(self.harvests * factor, self.packing_runs * factor)


@dataclass
class Book:
    """Rows that wait to be written, and what later steps may draw on."""

    rng: random.Random
    registers: dict[str, list[Any]]
    rows: dict[type[models.Model], list[models.Model]] = field(default_factory=lambda: {m: [] for m in ORDER})
    ids: dict[str, int] = field(default_factory=dict)
    held: dict[int, int] = field(default_factory=dict)
    shares: dict[int, dict[int, float]] = field(default_factory=dict)
    frontier: Frontier = field(default_factory=Frontier)
    leaf: list[Lot] = field(default_factory=list)
    oversize: list[Lot] = field(default_factory=list)
    plot_of: dict[int, str] = field(default_factory=dict)
    runs: dict[int, StonePair] = field(default_factory=dict)

    def next_id(self, name: str) -> int:
        self.ids[name] = self.ids.get(name, 0) + 1
        return self.ids[name]

    def add(self, row: models.Model) -> Any:
        if row.pk is None and not isinstance(row._meta.pk, models.BigAutoField):
            row.pk = self.next_id(row._meta.db_table)
        self.rows[type(row)].append(row)
        return row

    def step(self, stage: str, part: str, **fields: Any) -> Step:
        seq = self.ids.get("entry", 0)
        self.ids["entry"] = seq + 1
        at = BEGAN + dt.timedelta(minutes=20 * seq)
        leaf_hash = seq.to_bytes(32, "big")
        self.frontier = self.frontier.append(leaf_hash)
        entry = self.add(JournalEntry(
            seq=seq, act_id=uuid.UUID(int=seq, version=4), kind=f"{stage}.{part}", recorded_at=at, happened_at=at,
            body=b'{"generated":true}' + b" " * 900, leaf_hash=leaf_hash,
        ))
        return self.add(Step(entry=entry, stage=stage, part=part, happened_at=at, **fields))

    def lot(self, step: Step, material: str, letter: str, mass_mg: int, wet: str) -> Lot:
        code = new_lot_code(letter, 2016, self.next_id(f"n{letter}"))
        lot = self.add(Lot(code=code, material=material, step=step, mass_mg=mass_mg))
        self.add(Flow(step=step, kind="out", role=material, lot=lot, mass_mg=mass_mg, reading_count=1, moisture_frac=wet,
                      u_moisture_frac="0.002", moisture_how="measured", sample=f"{step.pk}.1", scale=self.registers["scale"][0]))
        self.add(Stock(lot=lot, book_mg=mass_mg, emptied=False))
        self.touch(lot, step)
        return lot

    def touch(self, lot: Lot, step: Step) -> None:
        lot.touched = getattr(lot, "touched", 0) + 1
        self.add(LotEntry(lot=lot, n=lot.touched, entry_id=step.entry_id))

    def draw(self, step: Step, lot: Lot, mass_mg: int, role: str = "charge") -> None:
        self.add(Flow(step=step, kind="in", role=role, lot=lot, mass_mg=mass_mg, reading_count=1, moisture_frac="0.03000",
                      u_moisture_frac="0.002", moisture_how="taken over", sample=f"{lot.step_id}.1", scale=self.registers["scale"][0]))
        self.touch(lot, step)

    def derive(self, step: Step, sources: dict[int, float]) -> None:
        whole = sum(sources.values())
        for source, mass in sources.items():
            self.add(Edge(step=step, source_id=source, share_frac=mass / whole))
        holders = {self.held[s] for s in sources}
        if len(holders) == 1:
            self.held[step.pk] = holders.pop()
        else:
            self.keep(step.pk, mix([(m, self.shares[self.held[s]]) for s, m in sources.items()]))
        self.add(Origin(step=step, held_by_id=self.held[step.pk]))

    def keep(self, step: int, shares: dict[int, float]) -> None:
        self.held[step], self.shares[step] = step, shares
        for harvest, share in shares.items():
            self.add(Composition(held_by_id=step, harvest_id=harvest, plot_code=self.plot_of[harvest], share_frac=share))

    def write(self) -> None:
        for model in ORDER:
            insert(self.rows[model])
            self.rows[model] = []


def registers() -> dict[str, list[Any]]:
    """Return the small mill's registers, and twenty plots beside them."""
    from tests import factories as make

    make.found_small_mill()
    for i in range(20):
        make.enter("field_plot", f"F{i:02}", name=f"Field {i}", area_a=Decimal("9.00"), state="conventional", valley="Wide valley", disclosed="plot")
    found: dict[str, list[Any]] = {
        "plot": list(FieldPlot.objects.filter(code__startswith="F")), "cultivar": list(Cultivar.objects.all()),
        "scale": list(Scale.objects.filter(code="S3")), "pair": list(StonePair.objects.select_related("equipment").order_by("code")),
        "screen": list(Screen.objects.all()), "product": list(Product.objects.filter(code="T30")),
        "party": list(Party.objects.filter(roles="consignee")), "filler": list(Equipment.objects.filter(kind="filler")),
    }
    return found


def harvest(book: Book, refined_mg: int = 45_000_000) -> None:
    """Write one harvest, its oven batch and its sorting."""
    step = book.step("harvest", "intake")
    plot = book.rng.choice(book.registers["plot"])
    book.plot_of[step.pk] = plot.code
    lot = book.lot(step, "fresh_leaf", "H", 300_000_000, "0.80000")
    book.add(HarvestFlush(step=step, plot=plot, cultivar=book.registers["cultivar"][0], flush_no=1, plucked_on=step.happened_at.date(), bag_count=16))
    book.keep(step.pk, {step.pk: 1.0})
    book.add(Origin(step=step, held_by=step))
    for stage, material, letter, mass in (("drying", "crude_leaf", "C", 60_000_000), ("refining", "refined_leaf", "R", refined_mg)):
        step = book.step(stage, "batch")
        book.draw(step, lot, lot.mass_mg, lot.material)
        book.derive(step, {lot.step_id: 1.0})
        lot = book.lot(step, material, letter, mass, "0.03000")
    book.leaf.append(lot)


def tub(book: Book) -> Lot:
    """Write one hopper charge of one leaf lot, now and then with oversize, and the tub that came of it."""
    fed = [book.rng.choice(book.leaf[-300:])]
    if book.oversize and book.rng.random() < REWORK:
        fed.append(book.oversize.pop(book.rng.randrange(len(book.oversize))))
    pair = book.rng.choice(book.registers["pair"])
    load = book.step("milling", "load", equipment=pair.equipment)
    book.add(MillingRun(step=load, pair=pair, job="J"))
    masses = {}
    for lot in fed:
        book.draw(load, lot, 880_000 // len(fed))
        masses[lot.step_id] = 880_000.0 / len(fed)
    book.derive(load, masses)
    off = book.step("milling", "tub", continues=load, equipment=pair.equipment)
    book.add(MillingTub(step=off, ground_h="22.00", dressed_h="100.00"))
    book.add(MillingClose(step=off, left_over_mg=0))
    book.derive(off, masses)
    return book.lot(off, "tub_powder", "M", 886_000, "0.04400")


def sieve(book: Book) -> Lot:
    """Write one sieve pass of some tubs."""
    tubs = [tub(book) for _ in range(TUBS_A_SIEVE)]
    step = book.step("sieving", "pass", equipment=book.registers["screen"][0].equipment)
    for lot in tubs:
        book.draw(step, lot, lot.mass_mg, "tub_powder")
    book.derive(step, {lot.step_id: float(lot.mass_mg) for lot in tubs})
    book.add(SievePass(step=step, screen=book.registers["screen"][0]))
    if book.rng.random() < 0.5:
        book.oversize.append(book.lot(step, "oversize", "X", 20_000, "0.04400"))
    return book.lot(step, "sieved_powder", "S", 3_500_000, "0.04400")


def pack(book: Book) -> None:
    """Write one packing run of 500 packs and the five consignments that they leave in."""
    powders = [sieve(book) for _ in range(2 + (book.rng.random() < SIEVES_A_RUN - 2))]
    step = book.step("packing", "run", equipment=book.registers["filler"][0])
    for lot in powders:
        book.draw(step, lot, lot.mass_mg, "sieved_powder")
    book.derive(step, {lot.step_id: float(lot.mass_mg) for lot in powders})
    lot = book.lot(step, "packed_tea", "K", 15_000_000, "0.04400")
    run_no = book.next_id("pack_run")
    book.add(PackingRun(step=step, run_no=run_no))
    book.add(PackSecret(run_no=run_no, secret=b"s" * 32))
    day = step.happened_at.date()
    unit = book.add(PackedUnit(step=step, lot=lot, product=book.registers["product"][0], run_no=run_no, first_no=1, last_no=500, mean_mg=30_100,
                               packed_on=day, best_before_on=day + dt.timedelta(days=183)))
    book.add(PackFace(unit=unit, facts=face(book, step, lot, day)))
    for i in range(5):
        out = book.step("dispatch", "consignment")
        book.draw(out, lot, 3_000_000, "packs")
        book.add(Consignment(step=out, consignee=book.rng.choice(book.registers["party"]), document_no=f"D{out.pk}"))
        book.add(PackMove(step=out, unit=unit, fate="dispatched", pack_count=100, first_no=100 * i + 1, last_no=100 * i + 100))


def face(book: Book, step: Step, lot: Lot, day: dt.date) -> str:
    shares = sorted(book.shares[book.held[step.pk]].items(), key=lambda s: -s[1])
    origins = [{"share_frac": share, "cultivar": "Saemidori", "cultivar_ja": "", "plot": book.plot_of[h], "altitude_m": None, "valley": "Wide valley",
                "state": "conventional", "grower": "", "flush_no": 1, "plucked_on": day.isoformat(), "shaded_days": 20} for h, share in shares]
    return json.dumps({"product": "Tin", "product_ja": "", "kind": "tin", "net_mg": 30_000, "lot": lot.code, "maker_ref": "",
                       "packed_on": day.isoformat(), "best_before_on": day.isoformat(), "origins": origins, "unknown_frac": 0.0,
                       "milled": {"first_on": day.isoformat(), "last_on": day.isoformat(), "pair_count": 2, "rate_g_per_h": 40.0}})


def parts(size: Size) -> Iterator[int]:
    """Yield how many harvests go before each packing run."""
    given = 0
    for run in range(size.packing_runs):
        due = 40 + (size.harvests - 40) * run // size.packing_runs
        yield due - given
        given = due


def generate(size: Size, seed: int = 7) -> Book:
    """Write a whole book and bring the journal's head up to it."""
    with transaction.atomic():
        book = Book(random.Random(seed), registers())
        head = JournalHead.objects.get(pk=1)
        book.ids |= {**json.loads(head.next_ids), "entry": head.size}
        book.frontier = Frontier.from_bytes(bytes(head.frontier))
        for number, harvests in enumerate(parts(size)):
            for _ in range(harvests):
                harvest(book)
            pack(book)
            if number % 50 == 49:
                book.write()
        harvest(book, refined_mg=45_000_000_000)  # enough leaf for whoever measures recording
        book.write()
        ids = {k: v for k, v in book.ids.items() if k != "entry"}
        JournalHead.objects.filter(pk=1).update(size=book.ids["entry"], frontier=book.frontier.to_bytes(), next_ids=json.dumps(ids))
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return book
