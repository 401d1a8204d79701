"""The rooms of `lots/` and their floors, and the project's sources as the contracts read them."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FLOORS = {
    "trade": 1,
    "balance": 2, "quality": 2, "genealogy": 2, "codes": 2, "journal": 2, "events": 2,
    "recall": 3, "planning": 3, "drawing": 3,
    "models": 4,
    "read": 5,
    "record": 6, "scans": 6,
    "dossier": 7, "exchange": 7,
    "desk": 8, "public": 8, "management": 8, "templatetags": 8,
}
PURE = frozenset(room for room, floor in FLOORS.items() if floor <= 3)
WRITERS = frozenset({"record", "scans", "models"})
# What stands beside the rooms: the app's hooks may call any room; a migration knows the tables only.
BESIDE = frozenset({"__init__", "apps", "migrations", "locale"})


@dataclass(frozen=True)
class Source:
    """One Python file: its path from the root, its room ("" outside `lots/`), its text and its syntax tree."""

    path: str
    room: str
    text: str
    tree: ast.Module

    @property
    def lines(self) -> int:
        return len(self.text.splitlines())


def source(path: str, text: str) -> Source:
    parts = Path(path).with_suffix("").parts
    return Source(path, parts[1] if parts[0] == "lots" and len(parts) > 1 else "", text, ast.parse(text))


def sources(*tops: str) -> Iterator[Source]:
    """Every Python file of ours under the given folders; migrations are written by a command, not by hand."""
    for top in tops:
        for path in sorted((ROOT / top).rglob("*.py")):
            if "migrations" not in path.parts:
                yield source(path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8"))


def pure_sources() -> list[Source]:
    return [s for s in sources("lots") if s.room in PURE]


def is_docstring_of(node: ast.AST) -> ast.Expr | None:
    """The statement that is a function's, class's or file's docstring."""
    if not isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)) or not node.body:
        return None
    first = node.body[0]
    if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant) and isinstance(first.value.value, str):
        return first
    return None


Function = ast.FunctionDef | ast.AsyncFunctionDef


def functions(tree: ast.Module) -> Iterator[Function]:
    for node in ast.walk(tree):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            yield node


def listed(found: list[str]) -> str:
    """All breaches, one a line, for the message of an assertion."""
    return "\n" + "\n".join(found)
