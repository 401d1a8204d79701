"""Reading a season file: whole or not at all, with the place of the first thing that is wrong."""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from lots.exchange.season_checks import contradictions
from lots.exchange.season_form import first_fault, place


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
        plain = json.loads(text, object_pairs_hook=once_each)
    except (ValueError, RecursionError) as fault:
        raise BrokenSeason(f"{path.name} is not JSON: {fault}.") from fault
    wrong = next(no_numbers(plain, ()), "") or first_fault(plain)
    if wrong:
        raise BrokenSeason(f"{path.name}, {wrong}.")
    data = json.loads(text, parse_float=Decimal)
    fault = next(contradictions(data), None)
    if fault:
        raise BrokenSeason(f"{path.name}, {fault}.")
    return Season(data, {n["node"]: n for n in data["nodes"]})


def once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return an object, or refuse one in which a key stands twice: nobody could say which of both is meant."""
    twice = [key for key, count in Counter(key for key, _ in pairs).items() if count > 1]
    if twice:
        raise ValueError(f"{twice[0]} stands twice in one object")
    return dict(pairs)


def no_numbers(value: Any, way: tuple[Any, ...]) -> Iterator[str]:
    """Yield the places where NaN, Infinity or a number beyond all measure stands, which are no masses."""
    if isinstance(value, float) and not math.isfinite(value):
        yield f"{place(way)}: {value} is not a number"
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, part in parts:
        yield from no_numbers(part, (*way, key))
