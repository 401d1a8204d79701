"""Public functions of the pure rooms say what they mean, with the units of what goes in."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest

from tests.contracts.rooms import Function, Source, listed, pure_sources, source

# What a docstring may say for a name that ends so; naming the parameter itself says it too.
UNIT_WORDS = {
    "_g_per_h": ("g/h", "grams per hour", "grams an hour"),
    "_mg": ("mg", "milligram"),
    "_kg": ("kg", "kilogram"),
    "_g": ("g", "gram"),
    "_um": ("um", "µm", "micrometre"),
    "_mm": ("mm", "millimetre"),
    "_m": ("m", "metre"),
    "_a": ("a", "are", "ares"),
    "_rpm": ("rpm", "turns per minute", "turns a minute"),
    "_s": ("s", "second"),
    "_h": ("h", "hour"),
    "_days": ("day",),
    "_c": ("c", "°c", "celsius"),
    "_frac": ("fraction", "share", "frac", "per kg", "wet basis", "dry basis"),
}


def unit_of(name: str) -> str | None:
    """The unit that a name ends in; a ratio of other units (px_per_mg) spells itself out."""
    if "_per_" in name and not name.endswith("_g_per_h"):
        return None
    return next((suffix for suffix in UNIT_WORDS if name.endswith(suffix)), None)


def parameters(function: Function) -> list[str]:
    every = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
    return [arg.arg for arg in every if arg.arg not in {"self", "cls"}]


def says_unit(doc: str, name: str, suffix: str) -> bool:
    words = "|".join(re.escape(word) for word in UNIT_WORDS[suffix])
    return re.search(rf"(?<![\w/])(?:{words})s?(?!\w)", doc, re.IGNORECASE) is not None or name in doc


def public_functions(tree: ast.Module) -> Iterator[tuple[str, Function]]:
    """Functions and methods that other files may call: no leading underscore in any part of the name."""
    for node in tree.body:
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            yield node.name, node
        elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from ((f"{node.name}.{item.name}", item) for item in node.body
                        if isinstance(item, (ast.FunctionDef, ast.AsyncFunctionDef)))


def is_property(function: Function) -> bool:
    """A property is read like a field, and named like one."""
    return any(ast.unparse(mark).endswith("property") for mark in function.decorator_list)


def breaches(file: Source) -> list[str]:
    found = []
    for name, function in public_functions(file.tree):
        if function.name.startswith("_") or is_property(function):
            continue
        doc, place = ast.get_docstring(function) or "", f"{file.path}:{function.lineno}: {name}"
        if not doc:
            found.append(f"{place} has no docstring")
            continue
        units = [(p, unit) for p in parameters(function) if (unit := unit_of(p))]
        found += [f"{place} does not say the unit of {p}" for p, unit in units if not says_unit(doc, p, unit)]
    return found


def test_public_functions_of_pure_rooms_are_described() -> None:
    files = pure_sources()
    assert files
    found = [breach for file in files for breach in breaches(file)]
    assert found == [], listed(found)


@pytest.mark.parametrize("text", [
    "def dry(mass_mg: int) -> int: ...",
    "def dry(mass_mg: int) -> int:\n    '''Mass of dry matter.'''",
    "def rate(*, milled_g: float) -> float:\n    '''How fast the great stones go.'''",
    "class Mill:\n    def rate(self) -> float: ...",
])
def test_a_function_without_words_or_units_is_seen(text: str) -> None:
    assert len(breaches(source("lots/balance/bad.py", text))) == 1


@pytest.mark.parametrize("text", [
    "def dry(mass_mg: int) -> int:\n    '''Dry matter in mg.'''",
    "def dry(mass_mg: int) -> int:\n    '''Dry matter of ``mass_mg``.'''",
    "def rate(tub_g: float, run_h: float) -> float:\n    '''Grams per hour: g of the tub over h of the run.'''",
    "def _own(mass_mg: int) -> int: ...",
    "class _Own:\n    def rate(self) -> float: ...",
    "class Mill:\n    @property\n    def hopper_g(self) -> float: ...",
    "class Mill:\n    def __len__(self) -> int: ...",
])
def test_a_described_function_is_left_alone(text: str) -> None:
    assert breaches(source("lots/balance/good.py", text)) == []
