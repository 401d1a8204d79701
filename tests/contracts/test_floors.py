"""A room imports from lower floors only: never from its own floor, never from above."""

from __future__ import annotations

import ast
from collections.abc import Iterator

import pytest

from tests.contracts.rooms import BESIDE, FLOORS, PURE, ROOT, Source, listed, source, sources

# Beside the floors: who reads or shows may not write, even where the floors would let it.
BARRED = {"read": {"record"}, "dossier": {"record"}, "public": {"record"}}
BY_NAME = {"import_module", "import_string", "__import__"}
SHARED_BY_ALL = "lots/__init__.py"


def package_of(path: str) -> list[str]:
    return path.removesuffix(".py").split("/")[:-1]


def imported(file: Source) -> Iterator[tuple[int, str]]:
    """Every module that a file imports, anywhere in it, relative names made whole and names of modules in calls too."""
    for node in ast.walk(file.tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            package = package_of(file.path)
            base = ".".join(package[: len(package) - node.level + 1]) if node.level else ""
            module = ".".join(part for part in (base, node.module) if part)
            yield from ((node.lineno, f"{module}.{alias.name}") for alias in node.names)
        elif isinstance(node, ast.Call) and isinstance(first := next(iter(node.args), None), ast.Constant):
            called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            if called in BY_NAME and isinstance(first.value, str):
                yield node.lineno, first.value


def room_named(module: str) -> str:
    parts = module.split(".")
    return parts[1] if parts[0] == "lots" and len(parts) > 1 else ""


def floor_of(room: str) -> float:
    """A migration stands on the tables' floor, the app's hooks above everything."""
    return {"migrations": 4.5, "apps": 9}.get(room) or FLOORS.get(room, 0)


def breaches(file: Source) -> list[str]:
    found = []
    for line, module in imported(file):
        room, place = room_named(module), f"{file.path}:{line}"
        if file.room in PURE and module.split(".")[0].startswith("django"):
            found.append(f"{place}: {file.room} is a pure room and imports {module}")
        if not room or room == file.room:
            continue
        if room in BARRED.get(file.room, ()):
            found.append(f"{place}: {file.room} may not import {room}")
        elif floor_of(room) >= floor_of(file.room):
            found.append(f"{place}: {file.room} (floor {floor_of(file.room)}) imports {room} (floor {floor_of(room)})")
    return found


def unplaced(names: list[str]) -> list[str]:
    return [name for name in names if name not in FLOORS and name not in BESIDE]


def test_every_import_goes_down() -> None:
    files = [*sources("lots"), *(source(p.relative_to(ROOT).as_posix(), p.read_text(encoding="utf-8"))
                                 for p in sorted((ROOT / "lots" / "migrations").glob("*.py")))]
    assert files
    found = [breach for file in files if file.path != SHARED_BY_ALL for breach in breaches(file)]
    assert found == [], listed(found)


def test_every_folder_has_a_floor() -> None:
    entries = (ROOT / "lots").iterdir()
    names = [p.stem if p.suffix == ".py" else p.name for p in entries if p.name != "__pycache__" and (p.is_dir() or p.suffix == ".py")]
    assert unplaced(names) == []


def test_the_package_itself_imports_nothing() -> None:
    text = (ROOT / SHARED_BY_ALL).read_text(encoding="utf-8")
    assert list(imported(source(SHARED_BY_ALL, text))) == []


def test_the_site_package_knows_nothing_of_the_trade() -> None:
    found = [f"{file.path}:{line}: {module}" for file in sources("ledger") for line, module in imported(file) if room_named(module)]
    assert found == []


def test_papers_use_their_own_templates() -> None:
    found = [
        f"{file.path}:{node.lineno}: {node.value}"
        for file in sources("lots/dossier")
        for node in ast.walk(file.tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.endswith(".html")
        and not node.value.startswith(("paper/", "parts/"))
    ]
    assert found == []


@pytest.mark.parametrize(("path", "text"), [
    ("lots/trade/bad.py", "from lots.balance import yields"),
    ("lots/balance/bad.py", "from lots.genealogy.graph import Graph"),
    ("lots/balance/bad.py", "def f():\n    import lots.models"),
    ("lots/balance/bad.py", "from lots import read"),
    ("lots/balance/bad.py", "from ..record import milling"),
    ("lots/balance/deep/bad.py", "from ...record import milling"),
    ("lots/balance/bad.py", "from .. import record"),
    ("lots/read/bad.py", "from importlib import import_module\nimport_module('lots.record.milling')"),
    ("lots/public/bad.py", "from lots.record import openings"),
    ("lots/dossier/bad.py", "from lots.record import holds"),
    ("lots/desk/bad.py", "from lots.public.views import pack"),
    ("lots/codes/bad.py", "from django.utils.translation import gettext"),
    ("lots/codes/bad.py", "import django_filters"),
    ("lots/migrations/0002_bad.py", "from lots.record import milling"),
])
def test_an_import_that_goes_up_is_seen(path: str, text: str) -> None:
    assert len(breaches(source(path, text))) == 1


@pytest.mark.parametrize(("path", "text"), [
    ("lots/balance/good.py", "from lots.trade.units import G\nfrom .other import x\nfrom . import another\nimport numpy"),
    ("lots/public/good.py", "from lots.scans import note_opening\nfrom lots.read import packs"),
    ("lots/migrations/0002_good.py", "import lots.models.fields"),
    ("lots/apps.py", "from lots.models import locks"),
])
def test_an_import_that_goes_down_is_left_alone(path: str, text: str) -> None:
    assert breaches(source(path, text)) == []


def test_a_folder_without_a_floor_is_seen() -> None:
    assert unplaced(["trade", "apps", "helpers"]) == ["helpers"]
