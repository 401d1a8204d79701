"""Every name of a quantity ends in its unit: numeric columns, and numeric fields of the records of the pure rooms."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest
from django.apps import apps
from django.db import models

from tests.contracts.rooms import Source, listed, pure_sources, source

UNITS = ("_mg", "_g", "_kg", "_um", "_mm", "_m", "_a", "_rpm", "_s", "_h", "_days", "_c", "_frac", "_g_per_h", "_count", "_at", "_on")
NUMBERS = {"int", "float", "Decimal"}
HOLDERS = {"tuple", "list", "Sequence", "Optional", "None", "Final", "ClassVar"}

# Numbers that measure nothing and so have no unit. First whole families by the last word of the name, then single names.
NAMES_A_PLACE = re.compile(r"(?:^|_)(?:z|id|no|seq|n|version|position|index|column|row|rank|mark|year|month|depth|width|size|length)s?$")
HAS_NO_UNIT = {
    "k": "a coverage factor",
    "t": "a squared estimate over its variance",
    "p": "a probability",
    "s": "Kendall's sum of signs",
    "variance": "of a sum of signs",
    "statistic": "a chi-square figure",
    "global_statistic": "a chi-square figure",
    "suspect_statistic": "a distance in standard deviations",
    "p_value": "a probability",
    "degrees_of_freedom": "a count of independent balances, by its name in statistics",
    "limit": "of a statistic",
    "estimate": "in the unit of what was measured, whatever that is",
    "u_estimate": "in the same unit",
    "suspects": "positions of streams",
    "node": "the position of a balance",
    "nodes": "positions of balances",
    "weight_log": "the logarithm of a likelihood",
    "removed": "positions of streams",
    "branching": "a ratio of counts",
    "slope": "of a line through figures of any unit",
    "intercept": "of the same line",
    "low": "the lower end of a range of any unit",
    "high": "its upper end",
    "value": "a typed figure, whose unit stands beside it",
    "loq": "a limit of quantification, whose unit stands beside it",
    "u_expanded": "an expanded uncertainty, whose unit stands beside it",
    "candidates": "what a typed figure may have meant",
    "most": "the largest figure a field takes, whose unit stands beside it",
    "places": "decimals of a typed figure",
    "code_digits": "digits of a typed code",
    "count": "how many of the thing that the record is about",
    "first": "a number in a series",
    "last": "a number in a series",
    "series": "the id of a series of packs",
    "by_way_of": "the id of the run in between",
    "step": "the id of a step",
    "source": "the id of the step that something came from",
    "first_step": "the id of a step",
    "last_step": "the id of a step",
    "earlier": "the id of the step that came before",
    "later": "the id of the step that came after",
    "cleaned_by": "the id of the clean-down",
    "run": "the id of the first step of a run",
    "serial": "a number in a series",
    "tag": "bits of a keyed hash",
    "expected": "the position that comes next in the journal",
    "lat": "degrees north of the equator",
    "lon": "degrees east of Greenwich",
}
# Methods for figures of any kind: what comes out has the unit of what was put in, and their docstrings say so.
OF_ANY_UNIT = {"lots/balance/charts.py", "lots/balance/run_rules.py"}
# A drawing's numbers are places and lengths in its own grid, which the viewBox scales, except where they are figures.
A_FIGURE = re.compile(r"mass|weight|moisture|loss|lost|rate|hour|day|share|yield|dry|input|output", re.IGNORECASE)
ON_A_DRAWING = re.compile(r"_px$")


def carries_unit(name: str, room: str = "") -> bool:
    return (
        name.endswith(UNITS) or name in HAS_NO_UNIT or NAMES_A_PLACE.search(name) is not None
        or (room == "drawing" and (not A_FIGURE.search(name) or ON_A_DRAWING.search(name) is not None))
    )


def is_record(node: ast.ClassDef) -> bool:
    marks = [*node.decorator_list, *node.bases]
    return any("dataclass" in ast.unparse(mark) or "NamedTuple" in ast.unparse(mark) for mark in marks)


def is_number(annotation: ast.expr) -> bool:
    """A number, or a row of numbers; not a table whose keys already say what the numbers are."""
    names = {node.id for node in ast.walk(annotation) if isinstance(node, ast.Name)}
    return bool(names & NUMBERS) and names <= NUMBERS | HOLDERS


def numeric_fields(tree: ast.Module) -> Iterator[tuple[int, str, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef) and is_record(node):
            yield from (
                (item.lineno, node.name, item.target.id) for item in node.body
                if isinstance(item, ast.AnnAssign) and isinstance(item.target, ast.Name) and is_number(item.annotation)
            )


def breaches(file: Source) -> list[str]:
    return [
        f"{file.path}:{line}: {record}.{name} does not say its unit"
        for line, record, name in numeric_fields(file.tree)
        if str(file.path) not in OF_ANY_UNIT and not carries_unit(name.lstrip("_"), file.room)
    ]


def columns_without_unit(tables: list[type[models.Model]]) -> list[str]:
    return [
        f"{table.__name__}.{field.name} does not say its unit"
        for table in tables
        for field in table._meta.concrete_fields
        if isinstance(field, (models.IntegerField, models.FloatField, models.DecimalField)) and not carries_unit(field.name)
    ]


def test_records_of_pure_rooms_say_their_units() -> None:
    files = pure_sources()
    assert files
    found = [breach for file in files for breach in breaches(file)]
    assert found == [], listed(found)


def test_columns_say_their_units() -> None:
    tables = list(apps.get_app_config("lots").get_models())
    assert tables
    found = columns_without_unit(tables)
    assert found == [], listed(found)


@pytest.mark.parametrize("field", ["mass: int", "rate: float | None", "loss: Decimal = 0", "tubs: tuple[float, ...]"])
def test_a_field_without_unit_is_seen(field: str) -> None:
    text = f"@dataclass(frozen=True)\nclass Tub:\n    {field}\n"
    assert len(breaches(source("lots/trade/bad.py", text))) == 1
    assert len(breaches(source("lots/trade/bad.py", text.replace("@dataclass(frozen=True)\nclass Tub", "class Tub(NamedTuple)")))) == 1


def test_a_figure_on_a_drawing_says_its_unit_too() -> None:
    assert len(breaches(source("lots/drawing/bad.py", "@dataclass\nclass Tub:\n    mass: int\n    input_px: float\n    x: float\n"))) == 1


@pytest.mark.parametrize("field", ["mass_mg: int", "seq: int", "name: str", "x: float", "by_plot: dict[str, float]", "z: float | None"])
def test_a_field_with_unit_is_left_alone(field: str) -> None:
    assert breaches(source("lots/drawing/good.py", f"@dataclass\nclass Tub:\n    {field}\n")) == []


def test_a_column_without_unit_is_seen() -> None:
    class Meta:
        app_label = "contracts"

    fields = {"__module__": __name__, "Meta": Meta, "weight": models.BigIntegerField(), "weight_mg": models.BigIntegerField()}
    table = type("BadTable", (models.Model,), fields)
    assert columns_without_unit([table]) == ["BadTable.weight does not say its unit"]
