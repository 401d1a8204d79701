"""A season file as the acts that the desk would have recorded, in order of time."""

from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from lots.exchange.season_checks import DRIED_AT
from lots.exchange.season_file import Season
from lots.exchange.season_times import SeasonTimes
from lots.record import cleaning, counting, drying, harvest, milling, packing, refining, sieving
from lots.record.lines import Moisture, Weight
from lots.record.packing import Series

CODE_SIGNS = 24
BY_PRODUCTS = {"vein_stem": "vein and stem", "fines": "fines", "off_colour": "off-colour"}

# Of what happens at one moment: tubs come off first, the pair is closed and cleaned, then the next job is charged.
CLOSE, CLEAN, LOAD = 4, 5, 6


@dataclass(frozen=True, slots=True)
class Recorded:
    """One act of the season: when it happened, the recorder, and what it is told. ``place`` is where it stands in the file."""

    at: dt.datetime
    order: int
    place: str
    recorder: Callable[..., Any]
    asked: dict[str, Any]


def mg(kg: Decimal | float) -> int:
    """Return kilograms as milligrams."""
    return int((Decimal(str(kg)) * 1_000_000).to_integral_value())


class SeasonActs(SeasonTimes):
    """Turns a season into acts; lots are named by the maker's own references."""

    def weight(self, kg: Decimal, node: str, side: str, label: str, scale: str = "S2", *, then: str = "") -> Weight:
        """Return a weighing; scale and number of readings stand in the balance node of the file, or in the node where the lot
        goes in ``then``."""
        line = self.season.line(node, side, label) or self.season.line(then, "inp", label)
        return Weight(mg(kg), line[3] if line else self.usual_scale(scale), line[4] if line else 1)

    def usual_scale(self, scale: str) -> str:
        """Return a scale where a file names none: S1, S2 and S3 are the largest, the next and the smallest of a mill."""
        known: dict[str, Any] = self.season.data["meta"]["scales"]
        by_size = sorted(known, key=lambda code: -known[code]["max"])
        return scale if scale in known else {"S1": by_size[0], "S3": by_size[-1]}.get(scale, by_size[len(by_size) // 2])

    def all(self) -> list[Recorded]:
        """Return every act in order of time."""
        acts = [*self.fields(), *self.stones(), *self.after_jobs()]
        return sorted(acts, key=lambda a: (a.at, a.order))

    def fields(self) -> Iterator[Recorded]:
        """Yield intake, oven and sorting of each harvest."""
        codes = cultivar_codes(self.season)
        cultivar = {p["id"]: codes[p["cv"]] for p in self.season.data["plots"]}
        for i, h in enumerate(self.season.data["harvest"]):
            yield self.intake(i, h, cultivar[h["plot"]])
            yield self.oven(i, h)
        for i, r in enumerate(self.season.data["refine"]):
            yield self.sorting(i, r)

    def intake(self, i: int, h: dict[str, Any], cultivar: str) -> Recorded:
        """Return the intake of one harvest."""
        node = f"oven {h['lot'].partition('-')[2]}"
        fresh = self.weight(h["fresh_kg"], node, "inp", "fresh leaf", "S1")
        asked = {
            "plot": h["plot"], "cultivar": cultivar, "flush_no": h["flush"], "plucked_on": dt.date.fromisoformat(h["date"]),
            "bag_count": h["bags"], "fresh": Weight(fresh.mass_mg, fresh.scale, h["bags"]),
            "moisture": Moisture(Decimal(str(h["fresh_w"]))), "maker_ref": h["lot"],
        }
        return Recorded(self.at(h["date"], 10), 0, f"harvest[{i}]", harvest.intake, asked)

    def oven(self, i: int, h: dict[str, Any]) -> Recorded:
        """Return the oven batch of one harvest."""
        end = h["lot"].partition("-")[2]
        node = f"oven {end}"
        stem = self.weight(h["stem_kg"], node, "out", "stem") if h["stem_kg"] else None
        asked = {
            "lot": h["lot"], "crude": self.weight(h["crude_kg"], node, "out", "crude leaf", then=f"refine {end}"),
            "crude_moisture": Moisture(Decimal(str(h["crude_w"]))), "stem": stem,
            "stem_moisture": Moisture(Decimal(str(h["stem_w"]))), "oven": "OVEN1", "maker_ref": "C" + h["lot"][1:],
        }
        return Recorded(self.at(h["date"], DRIED_AT.hour), 1, f"harvest[{i}]", drying.batch, asked)

    def sorting(self, i: int, r: dict[str, Any]) -> Recorded:
        """Return one sorting batch; by-products stand at the moisture that the file assumes of them."""
        node = f"refine {r['lot'].partition('-')[2]}"
        kg = {"vein_stem": r["vein_stem_kg"], "fines": r["fines_kg"], "off_colour": r["offcolour_kg"]}
        wet = {}
        for material, label in BY_PRODUCTS.items():
            line = self.season.line(node, "out", label)
            if line is not None:
                wet[material] = Moisture(Decimal(str(line[2])), "assumed")
        asked = {
            "lot": "C" + r["lot"][1:], "maker_ref": r["lot"],
            "refined": self.weight(r["recorded_refined_kg"], node, "out", "refined leaf", then=f"store {r['lot']}"),
            "refined_moisture": Moisture(Decimal(str(r["refined_w"]))),
            "by_products": {m: self.weight(kg[m], node, "out", label) for m, label in BY_PRODUCTS.items()},
            "by_product_moistures": wet, "sorter": "SORT1",
            "losses": {"spill": self.weight(r["spill_kg"], node, "dec", "spill")} if r["spill_kg"] else {},
        }
        return Recorded(self.sorted_at(r["lot"]), 2, f"refine[{i}]", refining.batch, asked)

    def stones(self) -> Iterator[Recorded]:
        """Yield loads and tubs, and for each run its close and clean-down."""
        tubs: dict[str, str] = {}
        for i, run in enumerate(self.season.data["runs"]):
            yield self.load(i, run)
            yield self.tub(i, run, tubs)
        cleaned = {(c["after"], c["pair"]) for c in self.season.data["cleaning"] if c["recorded"]}
        for job, pair in sorted({(r["job"], r["pair"]) for r in self.season.data["runs"]}):
            yield self.close(job, pair)
            if (job, pair) in cleaned:
                asked = {"equipment": f"SP{pair}", "opened": True, "result": "opened, brushed, nothing left"}
                at = self.between_jobs(job, pair, 40)
                yield Recorded(at, CLEAN, f"cleaning after {job} pair {pair}", cleaning.clean, asked)

    def load(self, i: int, run: dict[str, Any]) -> Recorded:
        """Return one charge."""
        start = dt.datetime.fromisoformat(run["start"])
        asked = {
            "pair": f"SP{run['pair']}", "lot": self.jobs[run["job"]]["lot"], "job": run["job"],
            "charge": Weight(mg(run["charge_kg"]), self.powder_scale(run), 1),
        }
        return Recorded(start, LOAD, f"runs[{i}]", milling.load, asked)

    def tub(self, i: int, run: dict[str, Any], first: dict[str, str]) -> Recorded:
        """Return one tub; the powder's moisture was determined once for a job, on its first tub."""
        name = f"T{run['job'][1:]}-{run['pair']}-{run['n']}"
        at = dt.datetime.fromisoformat(run["start"]) + dt.timedelta(hours=float(run["hours"]))
        earliest = min(
            (r for r in self.season.data["runs"] if r["job"] == run["job"]),
            key=lambda r: (dt.datetime.fromisoformat(r["start"]) + dt.timedelta(hours=float(r["hours"])), r["pair"], r["n"]),
        ) if run["job"] not in first else None
        if earliest is not None:
            first[run["job"]] = f"T{run['job'][1:]}-{earliest['pair']}-{earliest['n']}"
        measured = first[run["job"]] == name
        powder_w = Decimal(str(self.jobs[run["job"]]["powder_w"]))
        asked = {
            "pair": f"SP{run['pair']}", "powder": Weight(mg(run["tub_kg"]), self.powder_scale(run, "out"), 1),
            "ground_h": Decimal(str(run["hours"])), "maker_ref": name,
            "moisture": Moisture(powder_w) if measured else Moisture(of=first[run["job"]]),
        }
        return Recorded(at, 3 if not measured else 2, f"runs[{i}]", milling.tub, asked)

    def powder_scale(self, run: dict[str, Any], side: str = "inp") -> str:
        """Return the scale that a run was weighed on."""
        line = self.season.line(f"mill {run['job']} pair {run['pair']}", side, "charges" if side == "inp" else "tubs")
        if line is None and side == "inp":
            line = self.season.line(f"store {self.jobs[run['job']]['lot']}", "out", "issued")
        elif line is None:
            line = self.season.line(f"sieve {run['job']}", "inp", "tubs")
        return str(line[3]) if line else self.usual_scale("S3")

    def close(self, job: str, pair: int) -> Recorded:
        """Return the close of a run; the left-over of each pair stands in its balance node."""
        line = self.season.line(f"mill {job} pair {pair}", "out", "returned leaf")
        left = Weight(mg(line[1]), line[3], line[4]) if line else Weight(0)
        asked = {"pair": f"SP{pair}", "left_over": left, "maker_ref": f"B{job[1:]}-{pair}"}
        return Recorded(self.between_jobs(job, pair, 20), CLOSE, f"nodes: mill {job} pair {pair}", milling.close, asked)

    def after_jobs(self) -> Iterator[Recorded]:
        """Yield count, sieve pass and packing of each job."""
        tubs: dict[str, list[str]] = defaultdict(list)
        pairs: dict[str, set[int]] = defaultdict(set)
        for run in self.season.data["runs"]:
            tubs[run["job"]].append(f"T{run['job'][1:]}-{run['pair']}-{run['n']}")
            pairs[run["job"]].add(run["pair"])
        for i, job in enumerate(self.season.data["jobs"]):
            yield self.count(i, job, sorted(pairs[job["job"]]))
            yield self.sieve(i, job, tubs[job["job"]])
        for i, pack in enumerate(self.season.data["packs"]):
            yield self.pack(i, pack)

    def count(self, i: int, job: dict[str, Any], pairs: list[int]) -> Recorded:
        """Return the shelf count of a job's leaf, with the bags that came back from its hoppers."""
        bags = []
        for pair in pairs:
            line = self.season.line(f"mill {job['job']} pair {pair}", "out", "returned leaf")
            if line and line[1]:
                bags.append(f"B{job['job'][1:]}-{pair}")
        counted = self.weight(job["counted_leaf_left_kg"], f"store {job['lot']}", "out", "counted")
        asked = {"lot": job["lot"], "counted": counted, "with_lots": bags}
        return Recorded(self.after_tubs(job["job"], 9, 30), 7, f"jobs[{i}].counted_leaf_left_kg", counting.count, asked)

    def sieve(self, i: int, job: dict[str, Any], tubs: list[str]) -> Recorded:
        """Return the sieve pass of a job."""
        node = f"sieve {job['job']}"
        asked = {
            "lots": tubs, "screen": f"SC{aperture_um(self.season, job['job'])}",
            "through": self.weight(job["through_kg"], node, "out", "through", then=self.packed.get(job["job"], "")),
            "oversize": self.weight(job["oversize_kg"], node, "out", "oversize", "S3"), "maker_ref": f"S{job['job'][1:]}",
        }
        return Recorded(self.after_tubs(job["job"], 11), 8, f"jobs[{i}]", sieving.sieve, asked)

    def pack(self, i: int, pack: dict[str, Any]) -> Recorded:
        """Return one packing run: tins, bags, kept samples, bulk left."""
        node = f"pack {pack['lot']}"
        thousandth = Decimal("0.001")
        tins = (pack["tins_30g"] * Decimal(pack["mean_tin_g"]) / 1000).quantize(thousandth)
        bags = (pack["bags_100g"] * Decimal(pack["mean_bag_g"]) / 1000).quantize(thousandth)
        kept = (pack["retained_tins"] * Decimal(pack["mean_tin_g"]) / 1000).quantize(thousandth)
        series = [
            Series("T30", pack["tins_30g"], self.weight(tins, node, "out", "tins", "S3")),
            Series("B100", pack["bags_100g"], self.weight(bags, node, "out", "bags", "S3")),
            Series("T30", pack["retained_tins"], self.weight(kept, node, "out", "retained", "S3"), retained=True),
        ]
        asked = {
            "lots": [f"S{pack['job'][1:]}"], "filler": "FILL1", "maker_ref": pack["lot"],
            "series": [one for one in series if one.pack_count],
            "bulk": self.weight(pack["bulk_left_kg"], node, "out", "bulk", "S3"),
        }
        return Recorded(self.after_tubs(pack["job"], 14, plus_days=1), 9, f"packs[{i}]", packing.pack, asked)


def cultivar_codes(season: Season) -> dict[str, str]:
    """Return the code of each cultivar: its name, unless that is too long to be a code."""
    names = dict.fromkeys(p["cv"] for p in season.data["plots"])
    return {name: name if len(name) <= CODE_SIGNS else f"CV{n}" for n, name in enumerate(names, 1)}


def aperture_um(season: Season, job: str) -> int:
    """Return the screen's opening, which the file writes in the label of what went through."""
    line = season.line(f"sieve {job}", "out", "through")
    found = re.search(r"(\d+) um", str(line[0])) if line else None
    return int(found.group(1)) if found else 150
