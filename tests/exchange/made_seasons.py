"""Makes seasons of the demo's form, by a seed: other plots, pairs, scales, zones, moistures; with or without balance nodes."""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import dataclass, field
from typing import Any
from zoneinfo import ZoneInfo

ZONES = ("Europe/Lisbon", "America/Sao_Paulo", "Asia/Kolkata", "Australia/Adelaide")
SCALE_NAMES = ("YARD", "FLOOR", "BENCH")
HALF_DAY = dt.timedelta(hours=12)


@dataclass
class MadeSeason:
    """One season: what its mill has, and the tables of its file."""

    seed: int
    pair_count: int
    job_count: int
    runs_each: int = 2
    zone: str = "Asia/Tokyo"
    tables: dict[str, list[dict[str, Any]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.dice = random.Random(self.seed)
        self.yard, self.floor, self.bench = (f"{name}{self.seed}" for name in SCALE_NAMES)
        self.tables = {name: [] for name in ("plots", "harvest", "refine", "jobs", "runs", "cleaning", "packs", "nodes")}
        self.ends = {pair: 100.0 * pair for pair in range(1, self.pair_count + 1)}

    # Figures -------------------------------------------------------------------------------------------------------------

    def near(self, value: float, spread: float = 0.002) -> float:
        return value * self.dice.uniform(1 - spread, 1 + spread)

    def on_scale(self, kg: float, scale: str) -> float:
        division = {self.yard: 0.05, self.floor: 0.01, self.bench: 0.001}[scale]
        return round(round(kg / division) * division, 3)

    def meta(self) -> dict[str, Any]:
        plate = {
            self.yard: {"d": 0.05, "e": 0.05, "sr": 0.02, "cls": "III", "max": 150},
            self.floor: {"d": 0.01, "e": 0.01, "sr": 0.005, "cls": "III", "max": 60},
            self.bench: {"d": 0.001, "e": 0.001, "sr": 0.0005, "cls": "II", "max": 12},
        }
        loss = {"dry": (0.02, 0.01), "refine": (0.008, 0.003), "store": (0.0, 0.002), "mill": (0.008, 0.0035), "sieve": (0.003, 0.0015),
                "pack": (0.004, 0.002)}
        return {
            "time_zone": self.zone, "scales": plate, "u_moisture": {"fresh": 0.012, "crude": 0.003, "refined": 0.002, "powder": 0.0025},
            "stage_expectation": {stage: {"expected_loss_fraction": e, "sd": s} for stage, (e, s) in loss.items()},
        }

    def node(self, name: str, stage: str, **sides: list[list[Any]]) -> None:
        self.tables["nodes"].append({"node": name, "stage": stage, "inp": [], "out": [], "dec": [], **sides})

    # The season ----------------------------------------------------------------------------------------------------------

    def whole(self) -> dict[str, Any]:
        """The file's content."""
        clock = dt.datetime(2026, 5, 1, 9, tzinfo=ZoneInfo(self.zone))
        for n in range(1, self.job_count + 1):
            self.field(n, clock)
            clock = self.job(n, clock + dt.timedelta(days=self.dice.randint(2, 6)))
        return {"meta": self.meta(), **self.tables}

    def field(self, n: int, clock: dt.datetime) -> None:
        """One plot, its harvest, its oven and its sorting."""
        end, state = f"F{n}", self.dice.choice(("organic", "in conversion", "conventional"))
        plot: dict[str, Any] = {"id": f"plot {n}", "name": f"Field {n}", "cv": f"Cultivar {n % 2}", "area": 7.5, "org": state}
        self.tables["plots"].append(plot | ({"grower": "One household", "alt": 120, "year": 1999} if n % 2 else {}))
        fresh, fresh_w, crude_w, stem_w, refined_w = self.on_scale(self.near(300, 0.1), self.yard), 0.79, 0.047, 0.05, 0.031
        dry = fresh * (1 - fresh_w) * 0.98
        crude, stem = (self.on_scale(self.near(dry * s / (1 - w)), self.floor) for s, w in ((0.86, crude_w), (0.14, stem_w)))
        self.tables["harvest"].append({
            "lot": f"H26-{end}", "plot": f"plot {n}", "flush": 1 + n % 2, "date": clock.date().isoformat(), "fresh_kg": fresh,
            "fresh_w": fresh_w, "bags": 15, "crude_kg": crude, "crude_w": crude_w, "stem_kg": stem, "stem_w": stem_w,
        })
        self.node(f"oven {end}", "dry", inp=[["fresh leaf", fresh, fresh_w, self.yard, 15, "fresh"]],
                  out=[["crude leaf", crude, crude_w, self.floor, 3, "crude"], ["stem", stem, stem_w, self.floor, 1, "crude"]])
        dry, spill = crude * (1 - crude_w) * 0.992, 0.2 if n % 2 else 0
        refined = self.on_scale(self.near((dry - spill * (1 - crude_w)) * 0.8 / (1 - refined_w)), self.floor)
        rest = dry - spill * (1 - crude_w) - refined * (1 - refined_w)
        by = [(name, self.on_scale(rest * s / (1 - 0.046), self.bench)) for name, s in (("vein and stem", 0.7), ("fines", 0.2), ("off-colour", 0.1))]
        self.tables["refine"].append({
            "lot": f"R26-{end}", "refined_w": refined_w, "vein_stem_kg": by[0][1], "fines_kg": by[1][1], "offcolour_kg": by[2][1],
            "spill_kg": spill, "recorded_refined_kg": refined,
        })
        self.node(f"refine {end}", "refine", inp=[["crude leaf", crude, crude_w, self.floor, 3, "crude"]],
                  out=[["refined leaf", refined, refined_w, self.floor, 2, "refined"],
                       *[[name, kg, 0.046, self.bench, 1, "crude"] for name, kg in by]],
                  dec=[["spill", spill, crude_w, self.bench, 1, "crude"]] if spill else [])

    def job(self, n: int, start: dt.datetime) -> dt.datetime:
        """All pairs on the leaf of one harvest, then count, sieve and some packs."""
        job, refined, powder_w = f"J26-{n:02d}", self.tables["refine"][-1], 0.043
        runs = [run for pair in self.ends for run in self.pair_runs(job, pair, start, refined["refined_w"], powder_w)]
        charged, tubs = (sum(run[key] for run in runs) for key in ("charge_kg", "tub_kg"))
        counted = self.on_scale(refined["recorded_refined_kg"] - charged, self.floor)
        through, over = self.on_scale(tubs * 0.984, self.floor), self.on_scale(tubs * 0.013, self.bench)
        last = max(dt.datetime.fromisoformat(run["start"]) + dt.timedelta(hours=run["hours"]) for run in runs)
        self.tables["jobs"].append({
            "job": job, "lot": refined["lot"], "powder_w": powder_w, "through_kg": through, "oversize_kg": over,
            "counted_leaf_left_kg": counted, "start": start.date().isoformat(), "end": last.date().isoformat(),
        })
        self.node(f"store {refined['lot']}", "store", inp=[["refined leaf", refined["recorded_refined_kg"], refined["refined_w"], self.floor, 2, "refined"]],
                  out=[["issued to mill", round(charged, 3), refined["refined_w"], self.bench, len(runs), "refined"],
                       ["counted stock", counted, refined["refined_w"], self.floor, 1, "refined"]])
        self.node(f"sieve {job}", "sieve", inp=[["tubs", round(tubs, 3), powder_w, self.bench, len(runs), "powder"]],
                  out=[["through 125 um", through, powder_w, self.floor, 2, "powder"], ["oversize", over, powder_w, self.bench, 1, "powder"]])
        self.pack(n, job, through, powder_w)
        return last + HALF_DAY

    def pair_runs(self, job: str, pair: int, start: dt.datetime, refined_w: float, powder_w: float) -> list[dict[str, Any]]:
        """A pair's runs in a job, one after the other without a minute between; now and then it comes freshly dressed."""
        if self.dice.random() < 0.3:
            self.ends[pair] = 0.0
        runs, at = [], start
        for n in range(1, self.runs_each + 1):
            hours = self.dice.choice((20.0, 21.5, 22.0))
            self.ends[pair] = round(self.ends[pair] + hours, 1)
            charge = self.on_scale(self.near(0.9, 0.02), self.bench)
            tub = self.on_scale(self.near(charge * (1 - refined_w) * 0.992 / (1 - powder_w), 0.0005), self.bench)
            runs.append({
                "job": job, "pair": pair, "n": n, "start": at.isoformat(timespec="minutes"), "hours": hours, "charge_kg": charge,
                "tub_kg": tub, "hours_since_dressing": self.ends[pair],
            })
            at += dt.timedelta(hours=hours)
        self.tables["runs"] += runs
        self.tables["cleaning"].append({"after": job, "pair": pair, "recorded": self.dice.random() < 0.7})
        self.node(f"mill {job} pair {pair}", "mill",
                  inp=[["charges", round(sum(r["charge_kg"] for r in runs), 3), refined_w, self.bench, len(runs), "refined"]],
                  out=[["tubs", round(sum(r["tub_kg"] for r in runs), 3), powder_w, self.bench, len(runs), "powder"],
                       ["returned leaf", 0.0, refined_w, self.bench, 1, "refined"]])
        return runs

    def pack(self, n: int, job: str, through: float, powder_w: float) -> None:
        """Tins alone, tins and bags, or nothing yet."""
        if n % 3 == 0:
            return
        tins, bags = int(through * 0.5 / 0.0302), int(through * 0.3 / 0.1003) if n % 3 == 1 else 0
        tin_kg, bag_kg = round(tins * 30.2 / 1000, 3), round(bags * 100.3 / 1000, 3)
        bulk = self.on_scale(through * 0.996 - tin_kg - bag_kg, self.bench)
        self.tables["packs"].append({
            "lot": f"K26-{n:02d}", "job": job, "tins_30g": tins, "mean_tin_g": 30.2, "bags_100g": bags, "mean_bag_g": 100.3,
            "retained_tins": 0, "bulk_left_kg": bulk,
        })
        made = [("tins", tin_kg, 4), ("bags", bag_kg, 2), ("bulk left", bulk, 1)]
        self.node(f"pack K26-{n:02d}", "pack", inp=[["through 125 um", through, powder_w, self.floor, 2, "powder"]],
                  out=[[name, kg, powder_w, self.bench, count, "powder"] for name, kg, count in made if kg])
