"""Season files: their form, and where one is broken. Masses in kg as read, moistures as fractions, wet basis."""

from __future__ import annotations

import datetime as dt
import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from pathlib import Path
from typing import Any
from zoneinfo import available_timezones

from jsonschema import Draft202012Validator, FormatChecker

KG = {"type": "number", "minimum": 0, "maximum": 100000}
WET = {"type": "number", "minimum": 0, "exclusiveMaximum": 1}
COUNT = {"type": "integer", "minimum": 1, "maximum": 1000000}
TEXT = {"type": "string", "minLength": 1, "maxLength": 40}
WORDS = {"type": "string", "minLength": 1, "maxLength": 80}
DAY = {"type": "string", "format": "date"}
MOMENT = {"type": "string", "pattern": r"^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d)?[+-]\d\d:\d\d$"}
LINE = {
    "type": "array", "prefixItems": [TEXT, {"type": "number"}, WET, TEXT, COUNT, TEXT], "minItems": 6, "maxItems": 6,
}


def rows(required: dict[str, Any], **optional: Any) -> dict[str, Any]:
    """Return the schema of a list of objects."""
    item = {"type": "object", "required": sorted(required), "properties": {**required, **optional}}
    return {"type": "array", "items": item}


SCALE = {
    "type": "object", "required": ["d", "e", "sr", "cls", "max"],
    "properties": {
        "d": {"type": "number", "exclusiveMinimum": 0}, "e": {"type": "number", "exclusiveMinimum": 0},
        "sr": {"type": "number", "minimum": 0}, "cls": {"enum": ["I", "II", "III", "IIII"]},
        "max": {"type": "number", "exclusiveMinimum": 0},
    },
}
EXPECTED = {
    "type": "object", "required": ["expected_loss_fraction", "sd"],
    "properties": {"expected_loss_fraction": WET, "sd": {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1}},
}
STAGE_WORDS = ["dry", "refine", "store", "mill", "sieve", "pack"]
FORM = {
    "type": "object",
    "required": ["meta", "plots", "harvest", "refine", "jobs", "runs", "cleaning", "packs", "nodes"],
    "properties": {
        "meta": {
            "type": "object", "required": ["scales", "u_moisture", "stage_expectation"],
            "properties": {
                "time_zone": {"type": "string"},
                "scales": {"type": "object", "minProperties": 1, "additionalProperties": SCALE},
                "u_moisture": {
                    "type": "object", "required": ["fresh", "crude", "refined", "powder"], "additionalProperties": WET,
                },
                "stage_expectation": {
                    "type": "object", "required": STAGE_WORDS, "additionalProperties": EXPECTED,
                },
            },
        },
        "plots": rows(
            {"id": TEXT, "name": WORDS, "cv": WORDS, "area": KG, "org": {"enum": ["organic", "in conversion", "conventional"]}},
            alt={"type": "integer"}, year={"type": "integer", "minimum": 1800, "maximum": 2200}, grower=WORDS,
        ),
        "harvest": rows({
            "lot": TEXT, "plot": TEXT, "flush": {"type": "integer", "minimum": 1, "maximum": 9}, "date": DAY, "fresh_kg": KG,
            "fresh_w": WET, "bags": COUNT, "crude_kg": KG, "crude_w": WET, "stem_kg": KG, "stem_w": WET,
        }),
        "refine": rows({
            "lot": TEXT, "refined_w": WET, "vein_stem_kg": KG, "fines_kg": KG, "offcolour_kg": KG, "spill_kg": KG,
            "recorded_refined_kg": KG,
        }),
        "jobs": rows({
            "job": TEXT, "lot": TEXT, "powder_w": WET, "through_kg": KG, "oversize_kg": KG, "counted_leaf_left_kg": KG,
            "start": DAY, "end": DAY,
        }),
        "runs": rows({
            "job": TEXT, "pair": COUNT, "n": COUNT, "start": MOMENT, "hours": {"type": "number", "exclusiveMinimum": 0, "maximum": 1000},
            "charge_kg": KG, "tub_kg": KG, "hours_since_dressing": {"type": "number", "minimum": 0},
        }),
        "cleaning": rows({"after": TEXT, "pair": COUNT, "recorded": {"type": "boolean"}}),
        "packs": rows({
            "lot": TEXT, "job": TEXT, "tins_30g": COUNT, "mean_tin_g": KG, "bags_100g": COUNT, "mean_bag_g": KG,
            "retained_tins": COUNT, "bulk_left_kg": KG,
        }),
        "nodes": rows({
            "node": WORDS, "stage": {"enum": STAGE_WORDS}, "inp": {"type": "array", "items": LINE},
            "out": {"type": "array", "items": LINE}, "dec": {"type": "array", "items": LINE},
        }),
    },
}


class BrokenSeason(Exception):
    """A season file that cannot be loaded; the text names the place and what stands there."""


@dataclass(frozen=True, slots=True)
class Season:
    """A season file that was read and found whole; numbers are exact decimals."""

    data: dict[str, Any]
    nodes: dict[str, dict[str, Any]]

    def line(self, node: str, side: str, label: str) -> list[Any] | None:
        """Return one line of a balance node by the beginning of its label, or None."""
        found = self.nodes.get(node)
        return next((row for row in found[side] if str(row[0]).startswith(label)), None) if found else None


def read_season(path: Path) -> Season:
    """Read and check a season file. Raises `BrokenSeason` with the place of the first thing that is wrong."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as fault:
        raise BrokenSeason(f"{path} cannot be read: {fault}.") from fault
    try:
        plain = json.loads(text, parse_constant=refuse_constant)
    except ValueError as fault:
        raise BrokenSeason(f"{path.name} is not JSON: {fault}.") from fault
    form = Draft202012Validator(FORM, format_checker=FormatChecker())
    errors = sorted(form.iter_errors(plain), key=lambda e: list(map(str, e.absolute_path)))
    if errors:
        raise BrokenSeason(f"{path.name}, {place(errors[0].absolute_path)}: {errors[0].message}.")
    data = json.loads(text, parse_float=Decimal)
    fault = next(contradictions(data), None)
    if fault:
        raise BrokenSeason(f"{path.name}, {fault}.")
    return Season(data, {n["node"]: n for n in data["nodes"]})


def refuse_constant(name: str) -> Any:
    """Refuse NaN and Infinity, which are no masses."""
    raise ValueError(f"{name} is not a number")


def place(parts: Any) -> str:
    """Return a place in a file as a person would write it: ``harvest[3].fresh_kg``."""
    text = "".join(f"[{p}]" if isinstance(p, int) else f".{p}" for p in parts).lstrip(".")
    return text or "the whole file"


def contradictions(data: dict[str, Any]) -> Iterator[str]:
    """Yield where the parts of a file do not fit each other: names that nothing carries, names used twice, missing scales."""
    if data["meta"].get("time_zone", "UTC") not in available_timezones():
        yield f"meta.time_zone: {data['meta']['time_zone']} is no time zone of the world"
    yield from doubled(data, "plots", "id")
    yield from doubled(data, "harvest", "lot")
    yield from doubled(data, "refine", "lot")
    yield from doubled(data, "jobs", "job")
    yield from doubled(data, "packs", "lot")
    yield from doubled(data, "nodes", "node")
    yield from unknown(data, "harvest", "plot", {p["id"] for p in data["plots"]}, "plot")
    ends = {h["lot"][1:] for h in data["harvest"]}
    for i, refine in enumerate(data["refine"]):
        if refine["lot"][1:] not in ends:
            yield f"refine[{i}].lot: no harvest belongs to {refine['lot']}"
    yield from unknown(data, "jobs", "lot", {r["lot"] for r in data["refine"]}, "refined lot")
    jobs = {j["job"] for j in data["jobs"]}
    yield from unknown(data, "runs", "job", jobs, "job")
    yield from unknown(data, "cleaning", "after", jobs, "job")
    yield from unknown(data, "packs", "job", jobs, "job")
    for i, node in enumerate(data["nodes"]):
        for side in ("inp", "out", "dec"):
            for k, line in enumerate(node[side]):
                if line[3] not in data["meta"]["scales"]:
                    yield f"nodes[{i}].{side}[{k}]: scale {line[3]} is not in meta.scales"
    yield from empty_runs(data)
    yield from crossed_runs(data)


def doubled(data: dict[str, Any], table: str, key: str) -> Iterator[str]:
    """Yield a name that stands twice in one table."""
    counts = Counter(row[key] for row in data[table])
    for i, row in enumerate(data[table]):
        if counts[row[key]] > 1:
            yield f"{table}[{i}].{key}: {row[key]} stands {counts[row[key]]} times"


def unknown(data: dict[str, Any], table: str, key: str, known: set[str], what: str) -> Iterator[str]:
    """Yield a name that nothing carries."""
    for i, row in enumerate(data[table]):
        if row[key] not in known:
            yield f"{table}[{i}].{key}: there is no {what} {row[key]}"


def empty_runs(data: dict[str, Any]) -> Iterator[str]:
    """Yield runs without charge or tub, and runs that stand twice."""
    seen: set[tuple[str, int, int]] = set()
    for i, run in enumerate(data["runs"]):
        for key in ("charge_kg", "tub_kg"):
            if not run[key]:
                yield f"runs[{i}].{key}: nothing was weighed"
        name = (run["job"], run["pair"], run["n"])
        if name in seen:
            yield f"runs[{i}]: run {run['n']} of {run['job']} on pair {run['pair']} stands twice"
        seen.add(name)


def crossed_runs(data: dict[str, Any]) -> Iterator[str]:
    """Yield runs that begin on a pair before its run before has ended."""
    spans = sorted(
        (run["pair"], start, start + dt.timedelta(hours=float(run["hours"])), i)
        for i, run in enumerate(data["runs"])
        for start in (dt.datetime.fromisoformat(run["start"]),)
    )
    for (pair, _, end, before), (other, start, _, i) in pairwise(spans):
        if pair == other and start < end:
            yield f"runs[{max(before, i)}].start: pair {pair} is still in its run that begins at {data['runs'][min(before, i)]['start']}"
