"""Every stage of the catalogue is whole: thin table, recorder, screen, test, journal body. What is missing is named by its file."""

from __future__ import annotations

import ast
import copy
import datetime as dt
import json
import runpy
from collections.abc import Callable, Iterator, Mapping
from importlib import import_module
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

import pytest
from django.db import models
from django.urls import URLPattern, URLResolver, get_resolver

from lots.balance import words
from lots.models import BOOK, DETAILS, DriedLeafLot, Flow, Hold, JournalEntry
from lots.read import balances, lot_way, season
from lots.read.verifying import verify_book
from lots.record import correcting, holding
from lots.record.acts import Act
from lots.trade.materials import MATERIALS
from lots.trade.stages import STAGES, Stage
from tests import factories
from tests.contracts.rooms import ROOT, listed

THIN_FILES = ("lots/models/stages.py", "lots/models/holds.py", "lots/models/field.py", "lots/models/finishing.py", "lots/models/goods.py", "lots/models/house.py", "lots/models/release.py", "lots/models/sale.py", "lots/models/checks.py")
# Stages without a thin table, each with its reason.
NO_TABLE = {"correcting": "the row of the step says which step it speaks of, and its lines are flows: there is nothing else to know"}
# Recorders that no page of the desk leads to, each with its reason.
NO_PAGE = {"register.found": "opens an empty book before anybody can sign in: a command does it, once"}

MADE_UP = Stage("made_up", "Made up", "架空", ("batch",), ("refined_leaf",), ("refined_leaf",), judged=True)
Pages = Mapping[str, tuple[str, str]]


# The files of a stage ------------------------------------------------------------------------------------------------


def tree_of(path: Path) -> ast.Module:
    """An absent file reads like an empty one: what it should hold is missed by name."""
    return ast.parse(path.read_text(encoding="utf-8") if path.is_file() else "")


def thin_tables(root: Path) -> set[str]:
    return {
        node.name for file in THIN_FILES for node in tree_of(root / file).body
        if isinstance(node, ast.ClassDef) and "db_table" in ast.unparse(node)
    }


def built_in(tree: ast.Module) -> set[str]:
    return {node.func.id for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}


def recorded_kinds(tree: ast.Module) -> set[str]:
    calls = [mark for node in tree.body if isinstance(node, ast.FunctionDef) for mark in node.decorator_list if isinstance(mark, ast.Call)]
    return {str(call.args[0].value) for call in calls if ast.unparse(call.func) == "act" and isinstance(call.args[0], ast.Constant)}


def missing(stage: Stage, root: Path, pages: Pages) -> list[str]:
    """One line for each part of a stage that is not there, each beginning with the file in which it belongs."""
    base = stage.key
    recorder, screen = f"lots/record/{base}.py", f"lots/desk/{base}.py"
    tree = tree_of(root / recorder)
    found = []
    if base not in NO_TABLE and not thin_tables(root) & built_in(tree):
        found.append(f"{THIN_FILES[0]}: no thin table that {recorder} writes")
    found += [f"{recorder}: no recorder of {base}.{part}" for part in stage.parts if f"{base}.{part}" not in recorded_kinds(tree)]
    if not (root / screen).is_file():
        found.append(f"{screen}: no screen")
    if f"lots.desk.{base}" not in {module for module, _ in pages.values()}:
        found.append(f"lots/desk/urls.py: no address leads to {screen}")
    tests = [f"tests/{room}/test_{base}.py" for room in ("record", "desk")]
    if not any((root / test).is_file() for test in tests):
        found.append(f"{tests[0]}: no test")
    return found


def desk_pages() -> dict[str, tuple[str, str]]:
    """Every named page of the desk with the module and the name of its view."""
    return {name: view for name, view in named_views(get_resolver().url_patterns) if view[0].startswith("lots.desk.")}


def named_views(patterns: list[URLPattern | URLResolver]) -> Iterator[tuple[str, tuple[str, str]]]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from named_views(pattern.url_patterns)
        elif pattern.name:
            view = getattr(pattern.callback, "view_class", pattern.callback)
            yield pattern.name, (view.__module__, view.__qualname__.split(".")[0])


def record_modules() -> list[ModuleType]:
    names = sorted(path.stem for path in (ROOT / "lots/record").glob("*.py") if path.stem != "__init__")
    return [import_module(f"lots.record.{name}") for name in names]


def recorders(module: ModuleType) -> dict[str, FunctionType]:
    """The recorders that a module makes, by kind."""
    return {f.kind: f for f in vars(module).values() if isinstance(f, FunctionType) and hasattr(f, "kind") and f.__module__ == module.__name__}


ALL_KINDS = {kind: f"{module.__name__}.{f.__name__}" for module in record_modules() for kind, f in recorders(module).items()}
STAGE_KINDS = [kind for kind in ALL_KINDS if kind.split(".")[0] in STAGES]


@pytest.mark.parametrize("stage", STAGES.values(), ids=lambda stage: stage.key)
def test_every_stage_has_all_its_files(stage: Stage) -> None:
    found = missing(stage, ROOT, desk_pages())
    assert found == [], listed(found)


@pytest.mark.parametrize("stage", STAGES.values(), ids=lambda stage: stage.key)
def test_the_recorders_of_a_stage_are_its_parts(stage: Stage) -> None:
    kinds = set(recorders(import_module(f"lots.record.{stage.key}")))
    assert kinds == {f"{stage.key}.{part}" for part in stage.parts}


@pytest.mark.parametrize("stage", STAGES.values(), ids=lambda stage: stage.key)
def test_what_a_stage_takes_is_made_somewhere(stage: Stage) -> None:
    made = {material for other in STAGES.values() for material in other.produces}
    assert set(stage.consumes) <= made
    assert set(stage.consumes) | set(stage.produces) <= set(MATERIALS)


def unlisted(stages: Mapping[str, Stage]) -> list[str]:
    """Judged stages that a list elsewhere leaves out, each line beginning with the file of that list."""
    lists: dict[str, set[str]] = {
        "lots/read/balances.py: SINGLE": {*balances.SINGLE, "milling", "counting"},  # runs and counts are found otherwise
        "lots/read/season.py: ORDER": set(season.ORDER),
        "lots/read/lot_way.py: TOLD": {*lot_way.TOLD, "counting"},  # a count is told as one
        "lots/balance/words.py: _SAYS_EN": set(words._SAYS_EN),
        "lots/balance/words.py: _SAYS_JA": set(words._SAYS_JA),
    }
    judged = [stage.key for stage in stages.values() if stage.judged]
    return [f"{name} leaves out {key}" for name, listed_here in lists.items() for key in judged if key not in listed_here]


def test_every_judged_stage_is_on_the_lists_of_those() -> None:
    found = unlisted(STAGES)
    assert found == [], listed(found)


def test_a_judged_stage_that_a_list_leaves_out_is_named_with_its_file() -> None:
    found = unlisted({**STAGES, MADE_UP.key: MADE_UP})
    assert [line.split(" ")[0].rstrip(":") for line in found] == [
        "lots/read/balances.py", "lots/read/season.py", "lots/read/lot_way.py", "lots/balance/words.py", "lots/balance/words.py",
    ]


def test_every_thin_table_is_carried_by_the_journal_and_locked() -> None:
    # Rows of a table that is not on these lists would be neither written nor kept.
    assert {table.__name__ for table in (*DETAILS, DriedLeafLot, Hold)} == thin_tables(ROOT)
    assert {*DETAILS, DriedLeafLot, Hold} <= set(BOOK)


def test_every_exception_is_needed_and_has_a_reason() -> None:
    assert {key for key, reason in (NO_TABLE | NO_PAGE).items() if len(reason) < 20} == set()
    assert [key for key in NO_TABLE if key not in STAGES or thin_tables(ROOT) & built_in(tree_of(ROOT / f"lots/record/{key}.py"))] == []


def test_a_stage_without_files_is_named_file_by_file() -> None:
    found = [line.split(":")[0] for line in missing(MADE_UP, ROOT, {"milling": ("lots.desk.milling", "wall")})]
    assert found == [
        "lots/models/stages.py", "lots/record/made_up.py", "lots/desk/made_up.py", "lots/desk/urls.py", "tests/record/test_made_up.py",
    ]


WHOLE = {
    "lots/models/stages.py": "class MadeUp(Detail):\n    class Meta:\n        db_table = 'made_up'\n",
    "lots/record/made_up.py": "@act('made_up.batch')\ndef batch(w, *, lot):\n    w.add(MadeUp(step=w.step('made_up', 'batch')))\n",
    "lots/desk/made_up.py": "",
    "tests/record/test_made_up.py": "",
}
ITS_PAGES = {"made_up": ("lots.desk.made_up", "MadeUpView")}


def lay(root: Path, files: Mapping[str, str]) -> Path:
    for name, text in files.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(text, encoding="utf-8")
    return root


def test_a_whole_stage_is_left_alone(tmp_path: Path) -> None:
    assert missing(MADE_UP, lay(tmp_path, WHOLE), ITS_PAGES) == []


@pytest.mark.parametrize("gone", WHOLE)
def test_a_missing_file_is_named(tmp_path: Path, gone: str) -> None:
    found = missing(MADE_UP, lay(tmp_path, {name: text for name, text in WHOLE.items() if name != gone}), ITS_PAGES)
    assert gone in {line.split(":")[0] for line in found}


@pytest.mark.parametrize(("name", "text"), [
    ("lots/models/stages.py", "class Milling(Detail):\n    class Meta:\n        db_table = 'milling'\n"),
    ("lots/record/made_up.py", "@act('made_up.cool')\ndef cool(w):\n    w.add(MadeUp())\n"),
])
def test_a_file_that_lacks_its_part_is_named(tmp_path: Path, name: str, text: str) -> None:
    found = missing(MADE_UP, lay(tmp_path, WHOLE | {name: text}), ITS_PAGES)
    assert [line.split(":")[0] for line in found] == [name]


# The journal body of a stage -----------------------------------------------------------------------------------------


def kind_of(made_by: type[factories.Recorded]) -> str:
    return str(made_by._record.kind) if hasattr(made_by, "_record") else ""


def by_factory(kind: str) -> Callable[[], object] | None:
    """The factory of an act: among those of all tests, or in the test of the stage."""
    made = [f for f in factories.Recorded.__subclasses__() if kind_of(f) == kind]
    if made:
        return made[0]
    own = ROOT / f"tests/record/test_{kind.split('.', maxsplit=1)[0]}.py"
    found = runpy.run_path(str(own)).values() if own.is_file() else ()
    return next((f for f in found if isinstance(f, type) and issubclass(f, factories.Recorded) and kind_of(f) == kind), None)


def closed() -> None:
    factories.Load()
    factories.Tub()
    factories.Closed()


def tub() -> None:
    factories.Load()
    factories.Tub()


def held() -> None:
    holding.hold(Act("C"), lot=factories.RefinedLeaf().code, reason="A smell of smoke", happened_at=factories.next_moment())


def recalled() -> None:
    asked = {"lot": factories.RefinedLeaf().code, "reason": "A smell of smoke", "what_to_do": "Bring it back."}
    holding.fetch_back(Act("D"), **asked, happened_at=factories.next_moment())


def released() -> None:
    hold = factories.Held()
    holding.release(Act("C"), hold=hold.pk, reason="The laboratory found nothing", happened_at=factories.next_moment())


def adjusted() -> None:
    line = Flow.objects.get(lot=factories.FreshLeaf())
    masses = {line.pk: line.mass_mg + 50_000}
    correcting.adjust(Act("A", reason="The ticket says so"), step=line.step_id, masses_mg=masses, happened_at=factories.next_moment())


def taken_back() -> None:
    factories.TakenBack(step=factories.FreshLeaf().step_id)


# Acts that need something before them which their factory does not bring along.
SCENES: dict[str, Callable[[], object]] = {
    "milling.tub": tub, "milling.close": closed, "holding.hold": held, "holding.recall": recalled, "holding.release": released,
    "correcting.adjust": adjusted, "correcting.reverse": taken_back,
}


def thin_rows(entry: JournalEntry) -> list[models.Model]:
    rows: list[models.Model] = [row for table in DETAILS for row in table._base_manager.filter(step__entry=entry)]
    return [*rows, *DriedLeafLot.objects.filter(lot__step__entry=entry), *Hold.objects.filter(entry=entry)]


def body_faults(body: Mapping[str, Any], entry: JournalEntry, rows: list[models.Model]) -> list[str]:
    """What the act of a body leaves out of what stands in the tables: each thin row with all its fields, and when it happened."""
    act = body["act"]
    found = []
    if "happened_at" not in act or dt.datetime.fromisoformat(act["happened_at"]) != entry.happened_at:
        found.append(f"{entry.kind}: the act does not say when it happened")
    found += [f"{entry.kind}: a step does not say when it happened" for step in act["rows"].get("step", []) if not step.get("happened_at")]
    for row in rows:
        name = row._meta.db_table
        fields = {field.name for field in row._meta.concrete_fields} - {"entry"}
        written = [set(one) for one in act["rows"].get(name, [])]
        if fields not in written:
            left = fields - set().union(*written)
            found.append(f"{entry.kind}: the body leaves out {name} ({', '.join(sorted(left))})")
    return found


def recorded(kind: str) -> tuple[JournalEntry, dict[str, Any]]:
    factories.found_small_mill()
    scene = SCENES.get(kind) or by_factory(kind)
    assert scene is not None, f"tests/factories.py: no factory records {kind}, nor is there one in the test of its stage"
    scene()
    entry = JournalEntry.objects.order_by("-seq").filter(kind=kind)[0]
    return entry, json.loads(bytes(entry.body))


@pytest.mark.parametrize("kind", STAGE_KINDS)
@pytest.mark.django_db
def test_the_journal_body_carries_the_whole_act(kind: str) -> None:
    entry, body = recorded(kind)
    rows = thin_rows(entry)
    assert body_faults(body, entry, rows) == []
    assert rows != [] or kind.split(".", maxsplit=1)[0] in NO_TABLE
    assert entry.happened_at != entry.recorded_at, "a test that gives no time of its own proves nothing about it"
    assert verify_book() == []


@pytest.mark.django_db
def test_a_body_that_leaves_something_out_is_seen() -> None:
    entry, body = recorded("drying.batch")
    rows = thin_rows(entry)
    without_table, without_field, without_time, other_time = (copy.deepcopy(body) for _ in range(4))
    del without_table["act"]["rows"]["leaf_drying"]
    del without_field["act"]["rows"]["leaf_drying"][0]["lower_tier_c"]
    del without_time["act"]["happened_at"], without_time["act"]["rows"]["step"][0]["happened_at"]
    other_time["act"]["happened_at"] = other_time["at"]
    assert body_faults(without_table, entry, rows) == ["drying.batch: the body leaves out leaf_drying (lower_tier_c, steamed_at, step)"]
    assert body_faults(without_field, entry, rows) == ["drying.batch: the body leaves out leaf_drying (lower_tier_c)"]
    assert len(body_faults(without_time, entry, rows)) == 2
    assert len(body_faults(other_time, entry, rows)) == 1


# Every recorder has a page -------------------------------------------------------------------------------------------


def modules_of(*rooms: str) -> dict[str, ast.Module]:
    files = [path for room in rooms for path in sorted((ROOT / "lots" / room).rglob("*.py"))]
    return {".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): tree_of(path) for path in files}


def defined(tree: ast.Module) -> dict[str, ast.AST]:
    """What stands at the top of a module, by name."""
    found: dict[str, ast.AST] = {}
    for node in tree.body:
        targets = node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
        names = [target.id for target in targets if isinstance(target, ast.Name)]
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            names = [node.name]
        found |= dict.fromkeys(names, node)
    return found


def brought(tree: ast.Module) -> dict[str, str]:
    """What a module imports: the name that it uses, and the full name behind it."""
    found = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {(alias.asname or alias.name): f"{node.module}.{alias.name}" for alias in node.names}
        if isinstance(node, ast.Import):
            found |= {alias.asname: alias.name for alias in node.names if alias.asname}
    return found


def named_in(node: ast.AST) -> Iterator[tuple[str, str]]:
    """Names used in a definition, with the attribute that is taken of each ("" for the name alone)."""
    for part in ast.walk(node):
        if isinstance(part, ast.Name):
            yield part.id, ""
        if isinstance(part, ast.Attribute) and isinstance(part.value, ast.Name):
            yield part.value.id, part.attr


def reached(starts: list[str], modules: Mapping[str, ast.Module]) -> set[str]:
    """Full names of everything that some definitions lead to, through our own modules."""
    tops, imports = {m: defined(t) for m, t in modules.items()}, {m: brought(t) for m, t in modules.items()}
    seen: set[str] = set()
    todo = list(starts)
    while todo:
        name = todo.pop()
        module, _, own = name.rpartition(".")
        if name in seen or own not in tops.get(module, {}):
            continue
        seen.add(name)
        for used, attribute in named_in(tops[module][own]):
            full = imports[module].get(used, f"{module}.{used}")
            todo.append(f"{full}.{attribute}" if attribute else full)
    return seen


def test_every_recorder_is_reached_from_a_page_of_the_desk() -> None:
    views = [".".join(view) for view in desk_pages().values()]
    there = reached(views, modules_of("desk", "record"))
    found = [f"{name} ({kind}): no page of the desk leads to it" for kind, name in ALL_KINDS.items() if name not in there and kind not in NO_PAGE]
    assert found == [], listed(found)
    assert [kind for kind in NO_PAGE if ALL_KINDS.get(kind, "") in there] == []


DESK_SCREEN = """
from lots.record import made_up
from lots.desk.words import said
class Base:
    def post(self): return self.write()
class BatchView(Base):
    def write(self): return make()
class CoolView(Base):
    def write(self): return made_up.cool()
def make(): return made_up.batch(said)
"""


def test_only_what_an_address_leads_to_is_reached() -> None:
    modules = {
        "lots.desk.made_up": ast.parse(DESK_SCREEN), "lots.desk.words": ast.parse("said = 1"),
        "lots.record.made_up": ast.parse("def batch(w): ...\ndef cool(w): ..."),
    }
    assert reached(["lots.desk.made_up.BatchView"], modules) == {
        "lots.desk.made_up.BatchView", "lots.desk.made_up.Base", "lots.desk.made_up.make", "lots.record.made_up.batch",
        "lots.desk.words.said",
    }
    assert "lots.record.made_up.cool" in reached(["lots.desk.made_up.CoolView"], modules)
