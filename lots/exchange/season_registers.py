"""The registers that a season file speaks of: scales, plots, cultivars, growers, machines, products, expectations."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal
from itertools import pairwise
from typing import Any

from lots.exchange.season_acts import BY_PRODUCTS, aperture_um, cultivar_codes, mg
from lots.exchange.season_checks import span
from lots.exchange.season_file import Season
from lots.trade.stages import SEASON_WORDS

#: Hours of a file are rounded to a tenth.
HOURS_ROUNDED = Decimal("0.15")
Entry = tuple[str, str, dict[str, Any]]


def entries(season: Season, valley: str, disclosed: str) -> Iterator[Entry]:
    """Yield (register, code, fields) in an order in which pointers resolve."""
    yield from scales(season)
    yield from rules(season)
    yield from fields(season, valley, disclosed)
    yield from machines(season)
    yield "product", "T30", {"name": "Stone-milled powdered green tea, tin of 30 g", "name_ja": "石臼挽き抹茶 缶 30 g",
                             "kind": "tin", "net_mg": 30_000, "keeps_days": 183}
    yield "product", "B100", {"name": "Stone-milled powdered green tea, bag of 100 g", "name_ja": "石臼挽き抹茶 袋 100 g",
                              "kind": "bag", "net_mg": 100_000, "keeps_days": 183}


def scales(season: Season) -> Iterator[Entry]:
    """Yield the scales as their plates say."""
    for code, s in season.data["meta"]["scales"].items():
        division = Decimal(str(s["d"]))
        yield "scale", code, {
            "division_mg": mg(s["d"]), "interval_mg": mg(s["e"]), "u_repeat_mg": Decimal(str(s["sr"])) * 1_000_000,
            "accuracy_class": s["cls"], "capacity_mg": mg(s["max"]),
            "decimals_count": max(0, -int(division.normalize().as_tuple().exponent)),
        }


def rules(season: Season) -> Iterator[Entry]:
    """Yield how well moistures are known, what is assumed of by-products, and what each stage usually loses."""
    u_frac = season.data["meta"]["u_moisture"]
    for name, value in u_frac.items():
        yield "moisture_rule", name, {"u_moisture_frac": Decimal(str(value))}
    for material, label in BY_PRODUCTS.items():
        for node in season.data["nodes"]:
            line = season.line(node["node"], "out", label) if node["stage"] == "refine" else None
            if line is not None:
                assumed = {"u_moisture_frac": Decimal(str(u_frac["crude"])), "assumed_frac": Decimal(str(line[2]))}
                yield "moisture_rule", material, assumed
                break
    for word, usual in season.data["meta"]["stage_expectation"].items():
        if word in SEASON_WORDS:
            yield "stage_expectation", SEASON_WORDS[word], {
                "loss_frac": Decimal(str(usual["expected_loss_fraction"])), "sd_frac": Decimal(str(usual["sd"])),
            }


def fields(season: Season, valley: str, disclosed: str) -> Iterator[Entry]:
    """Yield growers, cultivars, plots and what stands on them."""
    growers: dict[str, str] = {}
    for plot in season.data["plots"]:
        name = plot.get("grower", "")
        if name and name not in growers:
            growers[name] = f"G{len(growers) + 1}"
            yield "party", growers[name], {"name": name, "roles": "grower"}
    cultivars = cultivar_codes(season)
    for name, code in cultivars.items():
        yield "cultivar", code, {"name": name}
    for plot in season.data["plots"]:
        area = Decimal(str(plot["area"]))
        yield "field_plot", plot["id"], {
            "name": plot["name"], "area_a": area, "altitude_m": plot.get("alt"), "planted_year": plot.get("year"),
            "state": plot["org"], "grower": growers.get(plot.get("grower", "")), "valley": valley, "disclosed": disclosed,
        }
        yield "planting", plot["id"], {
            "plot": plot["id"], "cultivar": cultivars[plot["cv"]], "area_a": area, "planted_year": plot.get("year"),
        }


def runs_of_pairs(season: Season) -> dict[int, list[dict[str, Any]]]:
    """Return the runs of each pair in order of time."""
    found: dict[int, list[dict[str, Any]]] = {pair: [] for pair in sorted({r["pair"] for r in season.data["runs"]})}
    for run in sorted(season.data["runs"], key=span):
        found[run["pair"]].append(run)
    return found


def came_with_h(run: dict[str, Any]) -> Decimal:
    """Return the hours since dressing with which a pair came into a run."""
    return max(Decimal(0), Decimal(str(run["hours_since_dressing"])) - Decimal(str(run["hours"])))


def stones(pair: int, dressed_h: Decimal) -> dict[str, Any]:
    """Return the fields of a stone pair."""
    return {"equipment": f"SP{pair}", "upper": f"U{pair}", "lower": f"L{pair}", "dressed_h": dressed_h}


def dressings(season: Season) -> Iterator[tuple[str, dict[str, Any], dt.datetime]]:
    """Yield a version of a pair for each job into which it comes with other hours than it left the last one with."""
    for pair, runs in runs_of_pairs(season).items():
        for before, run in pairwise(runs):
            other = abs(came_with_h(run) - Decimal(str(before["hours_since_dressing"]))) > HOURS_ROUNDED
            if other and run["job"] != before["job"]:
                yield f"SP{pair}", stones(pair, came_with_h(run)), span(run)[0]


def machines(season: Season) -> Iterator[Entry]:
    """Yield oven, sorter, stone pairs with the hours that they came with, sieve with its screens, filler."""
    yield "equipment", "OVEN1", {"kind": "oven", "name": "Oven"}
    yield "equipment", "SORT1", {"kind": "sorter", "name": "Sorting line"}
    for pair, runs in runs_of_pairs(season).items():
        yield "equipment", f"SP{pair}", {"kind": "stone_pair", "name": f"Stone pair {pair}"}
        yield "stone_pair", f"SP{pair}", stones(pair, came_with_h(runs[0]))
    yield "equipment", "SIEVE1", {"kind": "sieve", "name": "Sieve"}
    for width in sorted({aperture_um(season, j["job"]) for j in season.data["jobs"]}) or [150]:
        yield "screen", f"SC{width}", {"equipment": "SIEVE1", "aperture_um": width}
    yield "equipment", "FILL1", {"kind": "filler", "name": "Filler"}
