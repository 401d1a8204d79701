"""The registers that a season file speaks of: scales, plots, cultivars, growers, machines, products, expectations."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from lots.exchange.season_acts import BY_PRODUCTS, aperture_um, mg
from lots.exchange.season_file import Season
from lots.trade.stages import SEASON_WORDS

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
    for name in dict.fromkeys(p["cv"] for p in season.data["plots"]):
        yield "cultivar", name, {"name": name}
    for plot in season.data["plots"]:
        area = Decimal(str(plot["area"]))
        yield "field_plot", plot["id"], {
            "name": plot["name"], "area_a": area, "altitude_m": plot.get("alt"), "planted_year": plot.get("year"),
            "state": plot["org"], "grower": growers.get(plot.get("grower", "")), "valley": valley, "disclosed": disclosed,
        }
        yield "planting", plot["id"], {"plot": plot["id"], "cultivar": plot["cv"], "area_a": area, "planted_year": plot.get("year")}


def machines(season: Season) -> Iterator[Entry]:
    """Yield oven, sorter, stone pairs with the hours that they came with, sieve with its screens, filler."""
    yield "equipment", "OVEN1", {"kind": "oven", "name": "Oven"}
    yield "equipment", "SORT1", {"kind": "sorter", "name": "Sorting line"}
    for pair in sorted({r["pair"] for r in season.data["runs"]}):
        first = min((r for r in season.data["runs"] if r["pair"] == pair), key=lambda r: r["start"])
        came_with = Decimal(str(first["hours_since_dressing"])) - Decimal(str(first["hours"]))
        yield "equipment", f"SP{pair}", {"kind": "stone_pair", "name": f"Stone pair {pair}"}
        yield "stone_pair", f"SP{pair}", {
            "equipment": f"SP{pair}", "upper": f"U{pair}", "lower": f"L{pair}", "dressed_h": max(Decimal(0), came_with),
        }
    yield "equipment", "SIEVE1", {"kind": "sieve", "name": "Sieve"}
    for width in sorted({aperture_um(season, j["job"]) for j in season.data["jobs"]}) or [150]:
        yield "screen", f"SC{width}", {"equipment": "SIEVE1", "aperture_um": width}
    yield "equipment", "FILL1", {"kind": "filler", "name": "Filler"}
