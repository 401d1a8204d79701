"""A seeded history: acts of every kind, drawn at random, played on the book and on the plain mill alike, with power cuts,
lost answers and questions in between."""

from __future__ import annotations

import datetime as dt
import random
import uuid
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from lots.models import Flow, Hold
from lots.record import (
    cleaning,
    correcting,
    counting,
    dispatch,
    drying,
    holding,
    milling,
    packing,
    refining,
    registers,
    shading,
    sieving,
)
from lots.record.acts import Act, Receipt
from lots.record.dispatch import Packs
from lots.record.errors import Questioned, Refused
from lots.record.lines import Moisture, Weight
from lots.record.packing import Series
from tests.record import acts_field, acts_packs, acts_release
from tests.record.asking import REASON
from tests.record.breaking import LightsOut, Writes
from tests.record.plain_mill import PlainLot, PlainMill, PlainPacks, PlainRun, PlainStep, Wet

Recorder = Callable[..., Receipt]
LEAF, POWDER = ("refined_leaf", "left_over", "oversize"), ("sieved_powder", "bulk_powder")
PAIRS = ("SP1", "SP2")
LOOK_AGAIN = 100


def look_again() -> None:
    """Let the server count its rows: it does so by itself after a commit, which a test never comes to."""
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


class RandomHistory:
    """Plays one history; ``told`` counts what happened of each kind."""

    def __init__(self, seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
        self.dice = random.Random(seed)
        self.writes = Writes(monkeypatch)
        self.mill = PlainMill()
        self.clock = (timezone.now() - dt.timedelta(days=110)).replace(microsecond=0)
        self.sent: list[tuple[Recorder, Act, dict[str, Any], Receipt]] = []
        self.told: Counter[str] = Counter()
        self.job_count = 0
        self.sprayed: dict[str, list[tuple[dt.date, int]]] = defaultdict(list)

    def play(self, count: int) -> None:
        """Do acts until so many entries were written."""
        kinds: tuple[tuple[Callable[[], None], int], ...] = (
            (self.take_in, 5), (self.dry, 6), (self.sort, 6), (self.load, 22), (self.tub, 20), (self.close, 5), (self.sieve, 10),
            (self.fill, 8), (self.send, 10), (self.send_what_stays, 2), (self.count, 4), (self.hold, 1), (self.release, 1), (self.adjust, 6),
            (self.take_back, 4), (self.around, 3), (self.try_in_vain, 2), (lambda: acts_packs.check_weigh(self), 2),
            (lambda: acts_packs.place_samples(self), 1), (lambda: acts_release.speak_of(self), 2),
        )
        acts, weights = zip(*kinds, strict=True)
        while len(self.sent) < count:
            self.dice.choices(acts, weights)[0]()
            if len(self.sent) % LOOK_AGAIN == 0 and connection.vendor == "postgresql":
                look_again()

    # One act, with whatever may go wrong -------------------------------------------------------------------------------

    def chance(self, share: float) -> bool:
        return self.dice.random() < share

    def do(self, recorder: Recorder, why: str = "", **asked: Any) -> Receipt | None:
        """Record an act as a desk does: sent again after a power cut, asked at most once, given up now and then."""
        self.clock += dt.timedelta(minutes=self.dice.randint(5, 60))
        if recorder is not registers.enter:
            asked["happened_at"] = self.clock
        act = Act(self.dice.choice("ABC"), uuid.UUID(int=self.dice.getrandbits(128), version=4), why)
        repeated = self.chance(0.08) and self.lights_out(recorder, act, asked)
        try:
            receipt = recorder(act, **asked)
        except Questioned:
            self.told["asked"] += 1
            if self.chance(0.25):
                self.told["typed again"] += 1
                return None
            act = replace(act, reason=REASON)
            receipt = recorder(act, **asked)
        assert receipt.repeated is repeated
        self.sent.append((recorder, act, asked, replace(receipt, repeated=False)))
        self.told[receipt.kind] += 1
        if self.chance(0.06):
            self.send_again()
        return receipt

    def lights_out(self, recorder: Recorder, act: Act, asked: dict[str, Any]) -> bool:
        """Cut the power somewhere in the act; True where all was written and only the answer was lost."""
        self.writes.break_off(before=self.dice.randint(1, 30))
        try:
            recorder(act, **asked)
        except LightsOut:
            self.told["power cut"] += 1
            return False
        except Questioned:
            return False
        finally:
            self.writes.break_off(before=-1)
        self.told["answer lost"] += 1
        return True

    def send_again(self) -> None:
        """A page is sent once more, or its id with other content."""
        recorder, act, asked, receipt = self.dice.choice(self.sent[-200:])
        assert recorder(act, **asked) == replace(receipt, repeated=True)
        self.told["sent again"] += 1
        with pytest.raises(Refused, match="sent before with other content"):
            recorder(replace(act, badge="D"), **asked)

    def refused(self, recorder: Recorder, match: str, **asked: Any) -> None:
        with pytest.raises(Refused, match=match):
            recorder(Act("A", reason=REASON), **asked, happened_at=self.clock)
        self.told["refused"] += 1

    # Small helps ---------------------------------------------------------------------------------------------------------

    def some_lot(self, *materials: str) -> PlainLot | None:
        found = [lot for lot in self.mill.lots.values() if lot.material in materials and lot.stock_mg > 0]
        return self.dice.choice(found) if found else None

    def about(self, mass_mg: float, spread: float = 0.01, scale: str = "S3") -> Weight:
        """A reading near a mass."""
        return Weight(max(1_000, round(mass_mg * self.dice.uniform(1 - spread, 1 + spread) / 1000) * 1000), scale)

    def measured(self, moisture: Moisture | None) -> Wet | None:
        """A moisture on a sample of its own."""
        return (moisture.frac, object()) if moisture and moisture.frac is not None else None

    def wet(self, around: str, unknown: float = 0.1) -> Moisture | None:
        drawn = Decimal(around) + Decimal(self.dice.randint(-80, 80)) / 10_000
        return None if self.chance(unknown) else Moisture(drawn)

    def opens(self, step: PlainStep, receipt: Receipt, lots: Sequence[tuple[str, int, Wet | None]]) -> list[PlainLot]:
        return [
            self.mill.lot(code, material, step, mass_mg, wet)
            for code, (material, mass_mg, wet) in zip(receipt.lots, lots, strict=True)
        ]

    def common_wet(self, lots: Sequence[PlainLot]) -> Wet | None:
        """The moisture of powder that all stands on one sample."""
        return lots[0].wet if len({lot.wet and lot.wet[1] for lot in lots}) == 1 else None

    def standing_steps(self, *stages: str) -> list[PlainStep]:
        return [s for s in self.mill.steps.values() if not s.gone and (not stages or s.stage in stages)]

    # The chain -----------------------------------------------------------------------------------------------------------

    def take_in(self) -> None:
        acts_field.take_in(self)

    def dry(self) -> None:
        lot = self.some_lot("fresh_leaf")
        if lot is None:
            return self.take_in()
        crude, stem = self.about(lot.stock_mg * 0.172, 0.02, "S2"), self.about(lot.stock_mg * 0.029, 0.02, "S2")
        wets = [self.wet("0.046"), self.wet("0.051")]
        receipt = self.do(drying.batch, lot=lot.code, crude=crude, crude_moisture=wets[0], stem=stem, stem_moisture=wets[1], oven="OVEN1")
        if receipt:
            step = self.mill.step(receipt.step, "drying", "batch")
            self.mill.draw(step, lot, lot.stock_mg)
            self.opens(step, receipt, [
                ("crude_leaf", crude.mass_mg, self.measured(wets[0])), ("stem", stem.mass_mg, self.measured(wets[1])),
            ])
        return None

    def sort(self) -> None:
        lot = self.some_lot("crude_leaf")
        if lot is None:
            return self.dry()
        refined, vein, wet = self.about(lot.stock_mg * 0.77, 0.01, "S2"), self.about(lot.stock_mg * 0.21), self.wet("0.030")
        spill = {"spill": Weight(20_000, "S3")} if self.chance(0.3) else {}
        receipt = self.do(
            refining.batch, lot=lot.code, refined=refined, refined_moisture=wet, by_products={"vein_stem": vein}, losses=spill,
            by_product_moistures={"vein_stem": Moisture(Decimal("0.046"), "assumed")},
        )
        if receipt:
            step = self.mill.step(receipt.step, "refining", "batch")
            self.mill.draw(step, lot, lot.stock_mg)
            self.opens(step, receipt, [("refined_leaf", refined.mass_mg, self.measured(wet)), ("vein_stem", vein.mass_mg, (Decimal("0.046"), "rule"))])
        return None

    def newest_run(self, pair: str) -> PlainRun | None:
        """The newest run of a pair that stands, whether it goes on or not."""
        return next((run for run in reversed(self.mill.runs) if run.pair == pair and not run.first.gone), None)

    def open_run(self, pair: str) -> PlainRun | None:
        run = self.newest_run(pair)
        return run if run is not None and run.open else None

    def load(self) -> None:
        """Mostly the leaf that is in the hopper; else another lot, left-over and oversize among them, on top of it."""
        pair = self.dice.choice(PAIRS)
        run = self.open_run(pair)
        lot = run.last_load if run and self.chance(0.85) else self.some_lot(*LEAF)
        if lot is None or lot.stock_mg <= 0:
            return self.sort()
        empties = self.chance(0.1)
        charge = self.about(min(lot.stock_mg, 900_000) * (1.0 if empties else 0.98), 0.02)
        if run is None:
            self.job_count += 1
        job = run.job if run else f"J{self.job_count}"
        receipt = self.do(milling.load, pair=pair, lot=lot.code, charge=charge, job=job, empties=empties)
        if receipt:
            step = self.mill.step(receipt.step, "milling", "load", run.first.id if run else None)
            self.mill.draw(step, lot, charge.mass_mg)
            if empties:
                step.differences[lot] = -lot.stock_mg
                lot.difference_mg -= lot.stock_mg
                lot.stock_mg = 0
            if run is None:
                self.mill.runs.append(run := PlainRun(step, pair, job))
            run.steps.append(step)
        return None

    def tub(self) -> None:
        run = self.open_run(self.dice.choice(PAIRS))
        if run is None:
            return self.load()
        before = [lot for step in run.steps if step.part == "tub" for lot in step.opens]
        powder, hours = self.about(880_000, 0.03), Decimal(self.dice.randint(2000, 2400)) / 100
        wet = Moisture(of=before[-1].code) if before and self.chance(0.6) else self.wet("0.044")
        receipt = self.do(milling.tub, pair=run.pair, powder=powder, ground_h=hours, moisture=wet)
        if receipt:
            step = self.mill.step(receipt.step, "milling", "tub", run.first.id)
            self.opens(step, receipt, [("tub_powder", powder.mass_mg, before[-1].wet if wet and wet.of else self.measured(wet))])
            run.steps.append(step)
        return None

    def close(self) -> None:
        """Also a run whose close was taken back, while its pair runs the next job."""
        going_on = [run for run in self.mill.runs if run.open]
        if not going_on:
            return self.load()
        run = self.dice.choice(going_on)
        left = Weight(0) if self.chance(0.4) else self.about(100_000, 0.8)
        receipt = self.do(milling.close, pair=run.pair, job=run.job, left_over=left)
        if receipt:
            step = self.mill.step(receipt.step, "milling", "close", run.first.id)
            self.opens(step, receipt, [("left_over", left.mass_mg, run.last_load.wet)] if left.mass_mg else [])
            run.steps.append(step)
            run.closed_by = step
        return None

    def sieve(self) -> None:
        tubs = [lot for lot in self.mill.lots.values() if lot.material in {"tub_powder", "bulk_powder"} and lot.stock_mg > 0]
        if len(tubs) < 3:
            return self.tub()
        fed = self.dice.sample(tubs, self.dice.randint(1, min(4, len(tubs))))
        whole_mg = sum(lot.stock_mg for lot in fed)
        through, oversize = self.about(whole_mg * 0.975, 0.002), self.about(whole_mg * 0.02, 0.3)
        wet = self.wet("0.044", 0) if self.chance(0.3) else None
        codes = [code for lot in fed for code in self.dice.choice(((lot.code,), (lot.code, lot.code)))]
        receipt = self.do(sieving.sieve, lots=codes, screen="SC150", through=through, oversize=oversize, moisture=wet)
        if receipt:
            step = self.mill.step(receipt.step, "sieving", "pass")
            frac = self.measured(wet) or self.common_wet(fed)
            for lot in fed:
                self.mill.draw(step, lot, lot.stock_mg)
            self.opens(step, receipt, [("sieved_powder", through.mass_mg, frac), ("oversize", oversize.mass_mg, frac)])
        return None

    def fill(self) -> None:
        powder = [lot for lot in self.mill.lots.values() if lot.material in POWDER and lot.stock_mg > 400_000]
        if not powder:
            return self.sieve()
        fed = self.dice.sample(powder, self.dice.randint(1, min(3, len(powder))))
        whole_mg = sum(lot.stock_mg for lot in fed)
        tins, kept = max(3, int(whole_mg * 0.6 / 30_200)), self.dice.randint(0, 3)
        series = [Series("T30", tins, Weight(tins * 30_100, "S3"))]
        series += [Series("T30", kept, Weight(kept * 30_000, "S3"), retained=True)] if kept else []
        bulk = self.about(whole_mg * 0.996 - sum(s.net.mass_mg for s in series), 0.002)
        receipt = self.do(packing.pack, lots=[lot.code for lot in fed], series=series, bulk=bulk, filler="FILL1")
        if receipt:
            step, frac = self.mill.step(receipt.step, "packing", "run"), self.common_wet(fed)
            for lot in fed:
                self.mill.draw(step, lot, lot.stock_mg)
            made = [("retained_tea" if s.retained else "packed_tea", s.net.mass_mg, frac) for s in series]
            lots, first_no = self.opens(step, receipt, [*made, ("bulk_powder", bulk.mass_mg, frac)]), 1
            for lot, one in zip(lots, series, strict=False):
                lot.packs = PlainPacks(first_no, first_no + one.pack_count - 1, one.retained)
                first_no += one.pack_count
        return None

    # Going out, holding ----------------------------------------------------------------------------------------------------

    def series(self, *, held: bool | None = None) -> list[PlainLot]:
        found = [lot for lot in self.mill.lots.values() if lot.packs and not lot.packs.retained and lot.packs.here_count > 0]
        if held is None:
            return found
        stopped = self.mill.held(self.mill.graph()) if self.mill.holds else set()
        return [lot for lot in found if (lot.code in stopped) is held]

    def send(self) -> None:
        """Some packs of one or two series, by number or by count."""
        here = self.series(held=False)
        if not here:
            return self.fill()
        packs = []
        for lot in self.dice.sample(here, min(len(here), self.dice.randint(1, 2))):
            count = self.dice.randint(1, max(1, lot.packs.here_count // 2))
            packs.append((lot, count, self.free_range(lot.packs, count) if self.chance(0.6) else None))
        asked = [Packs(lot.code, count, first) for lot, count, first in packs]
        receipt = self.do(dispatch.consign, consignee=self.dice.choice(("B1", "B2")), packs=asked, document_no=f"D-{len(self.sent)}")
        if receipt:
            step = self.mill.step(receipt.step, "dispatch", "consignment")
            for lot, count, first in packs:
                self.mill.draw(step, lot, round(max(0, lot.stock_mg) * count / lot.packs.here_count))
                lot.packs.send(step.id, count, first)
        return None

    def free_range(self, packs: PlainPacks, count: int) -> int | None:
        starts = range(packs.first_no, packs.last_no - count + 2)
        free = [n for n in starts if not packs.numbers_away & set(range(n, n + count))]
        return self.dice.choice(free) if free else None

    def send_what_stays(self) -> None:
        """Packs that are held, kept, or not here."""
        held = self.series(held=True)
        if held:
            lot = self.dice.choice(held)
            self.refused(dispatch.consign, "cannot go out: a hold", consignee="B1", packs=[Packs(lot.code, 1)])
        for lot in self.series(held=False)[:1]:
            self.refused(dispatch.consign, "are here", consignee="B1", packs=[Packs(lot.code, lot.packs.here_count + 1)])
            for away in sorted(lot.packs.numbers_away)[:1]:
                self.refused(dispatch.consign, "has gone before", consignee="B1", packs=[Packs(lot.code, 1, away)])

    def hold(self) -> None:
        lots = [lot for lot in self.mill.lots.values() if not lot.step.gone]
        if len(self.mill.holds) >= 3 or not lots:
            return self.release()
        lot = self.dice.choice(lots)
        receipt = self.do(holding.hold, lot=lot.code, reason="A smell of smoke")
        self.mill.holds[Hold.objects.get(entry=receipt.seq).pk] = lot
        return None

    def release(self) -> None:
        if self.mill.holds:
            number = self.dice.choice(sorted(self.mill.holds))
            self.do(holding.release, hold=number, reason="Result C-12: nothing found")
            del self.mill.holds[number]

    # Mending -----------------------------------------------------------------------------------------------------------------

    def count(self) -> None:
        lot = self.some_lot(*LEAF, *POWDER, "tub_powder")
        if lot is None:
            return
        spread = self.dice.choice((0.0005, 0.0005, 0.3))
        counted = self.about(lot.stock_mg, spread, "S2")
        receipt = self.do(counting.count, lot=lot.code, counted=counted)
        if receipt:
            step = self.mill.step(receipt.step, "counting", "shelf")
            step.differences[lot] = counted.mass_mg - lot.stock_mg
            lot.difference_mg += step.differences[lot]
            lot.stock_mg = counted.mass_mg

    def adjust(self) -> None:
        """Another mass for one weighing of an earlier step, what it drew or what it opened, nothing included."""
        steps = [s for s in self.standing_steps()[-300:] if any(s.draws.values()) or any(lot.opened_mg for lot in s.opens)]
        if not steps:
            return
        step = self.dice.choice(steps)
        lines = [("in", lot, mass) for lot, mass in step.draws.items()] + [("out", lot, lot.opened_mg) for lot in step.opens]
        kind, lot, now_mg = self.dice.choice(lines)
        right_mg = 0 if self.chance(0.05) else self.about(now_mg or 500_000, 0.15).mass_mg
        if right_mg == now_mg:
            return
        number = Flow.objects.get(step=step.id, kind=kind, lot__code=lot.code).pk
        self.do(correcting.adjust, "The ticket was read wrongly", step=step.id, masses_mg={number: right_mg})
        if kind == "in":
            step.draws[lot] = right_mg
            lot.stock_mg -= right_mg - now_mg
        else:
            lot.opened_mg = right_mg
            lot.stock_mg += right_mg - now_mg

    def take_back(self) -> None:
        """A step that nobody used; one that somebody used stays."""
        steps = self.standing_steps()[-60:]
        for step in self.dice.sample(steps, min(4, len(steps))):
            if self.mill.used(step):
                self.refused(correcting.reverse, "was used already|The run goes on", step=step.id)
                continue
            self.do(correcting.reverse, "It did not happen", step=step.id)
            self.mill.take_back(step)
            return

    def around(self) -> None:
        """What is no leaf: covers, treatments, clean-downs, another disclosure of a plot."""
        day, plot = timezone.localtime(self.clock).date(), self.dice.choice(("P1", "P2", "P3"))
        what = self.dice.randrange(5)
        if what == 0:
            self.do(shading.cover, plot=plot, flush_no=1, covered_on=day - dt.timedelta(days=self.dice.randint(0, 20)))
        elif what == 1:
            acts_field.treat(self)
        elif what == 4:
            acts_field.trim_or_notice(self)
        elif what == 2:
            self.do(cleaning.clean, equipment=self.dice.choice((*PAIRS, "SIEVE1", "FILL1")), opened=self.chance(0.8))
        else:
            fields = {"name": f"Plot {plot}", "area_a": Decimal(9), "disclosed": self.dice.choice(("valley", "plot"))}
            self.do(registers.enter, table="field_plot", code=plot, fields=fields)

    def try_in_vain(self) -> None:
        """A lot that is used up, a second job on a running pair, a lot that is not known."""
        used_up = [lot for lot in self.mill.lots.values() if lot.material == "tub_powder" and lot.stock_mg == 0]
        if used_up:
            asked = {"lots": [self.dice.choice(used_up).code], "screen": "SC150", "through": Weight(1_000_000), "oversize": Weight(0)}
            self.refused(sieving.sieve, "is left in the book", **asked)
        run = self.open_run(self.dice.choice(PAIRS))
        if run is not None:
            lot = run.last_load
            self.refused(milling.load, "still running", pair=run.pair, lot=lot.code, charge=Weight(900_000, "S3"), job="another")
        self.refused(drying.batch, "No lot", lot="H26-NONE", crude=Weight(1), crude_moisture=None, stem=None, stem_moisture=None)

