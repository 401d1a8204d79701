"""The season file as records of the balance room: nodes as weighings, each with its sample of moisture."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from lots.balance.closure import close
from lots.trade.stages import SEASON_WORDS
from lots.trade.weighing import Balance, Expectation, ScaleData, Side, Weighing

SEASON_FILE = Path(__file__).resolve().parents[2] / "fixtures" / "demo_season.json"


@dataclass(frozen=True)
class Node:
    name: str
    stage: str
    lines: tuple[Weighing, ...]
    expectation: Expectation

    def balance(self) -> Balance:
        return close(self.lines, self.expectation)


def mg(kg: float) -> int:
    return round(kg * 1e6)


def scale_of(code: str, plate: dict[str, Any]) -> ScaleData:
    return ScaleData(code, mg(plate["d"]), mg(plate["e"]), plate["sr"] * 1e6, plate["cls"], mg(plate["max"]))


def sample_of(stage: str, side: Side, label: str, moisture: float, kind: str) -> str:
    """Which moisture determination a line shares: see the reading rule of the season file's second computation."""
    if stage == "drying":
        return label
    if stage == "refining":
        assumed = side is Side.OUT and label != "refined leaf"
        return f"assumed {moisture}" if assumed else label
    return kind if stage == "milling" else "one"


def weighings_of(node: dict[str, Any], stage: str, meta: dict[str, Any]) -> tuple[Weighing, ...]:
    return tuple(
        Weighing(side, label, mg(mass), count, moisture, meta["u_moisture"][kind],
                 sample_of(stage, side, label, moisture, kind), scale_of(scale, meta["scales"][scale]))
        for key, side in (("inp", Side.IN), ("out", Side.OUT), ("dec", Side.LOST))
        for label, mass, moisture, scale, count, kind in node[key]
    )


def node_of(node: dict[str, Any], meta: dict[str, Any]) -> Node:
    stage, usual = SEASON_WORDS[node["stage"]], meta["stage_expectation"][node["stage"]]
    expectation = Expectation(stage, usual["expected_loss_fraction"], usual["sd"])
    return Node(node["node"], stage, weighings_of(node, stage, meta), expectation)


@pytest.fixture(scope="session")
def season() -> dict[str, Any]:
    return json.loads(SEASON_FILE.read_text(encoding="utf-8"))


@pytest.fixture(scope="session")
def nodes(season: dict[str, Any]) -> dict[str, Node]:
    return {n["node"]: node_of(n, season["meta"]) for n in season["nodes"]}


@pytest.fixture(scope="session")
def balances(nodes: dict[str, Node]) -> dict[str, Balance]:
    return {name: node.balance() for name, node in nodes.items()}
