"""Only `record`, `scans` and `models` create, save, change or remove rows."""

from __future__ import annotations

import ast
import re

import pytest

from tests.contracts.rooms import ROOT, WRITERS, Source, is_docstring_of, listed, source, sources

# Files elsewhere that write something which is no part of the book, each with its reason.
EXCEPTED: dict[str, str] = {}

ALWAYS_WRITES = {
    "create", "acreate", "bulk_create", "abulk_create", "bulk_update", "abulk_update", "get_or_create", "aget_or_create",
    "update_or_create", "aupdate_or_create", "asave", "aupdate", "adelete", "_raw_delete", "create_user", "create_superuser",
}
# A row's or query's own `save`, `update` and `delete` take no positional argument; those of a dict, a digest, a
# workbook, a picture or a cache do.
WRITES_WHEN_BARE = {"save", "update", "delete"}
WRITING_SQL = re.compile(
    r"(?:^|[\n;)])\s*(?:insert\s+(?:or\s+\w+\s+)?into|replace\s+into|update\s+\S+\s+set|delete\s+from|truncate\s+|merge\s+into"
    r"|copy\s+\S+\s+from|alter\s+table|drop\s+(?:table|trigger|index|view|function)"
    r"|create\s+(?:or\s+replace\s+)?(?:temp\w*\s+)?(?:unique\s+)?(?:table|trigger|index|view|function))\b",
    re.IGNORECASE,
)


def is_bare(call: ast.Call) -> bool:
    return all(isinstance(arg, ast.Constant) and isinstance(arg.value, bool) for arg in call.args)


def writing_calls(tree: ast.Module) -> list[tuple[int, str]]:
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)]
    return [
        (call.lineno, f".{call.func.attr}()")
        for call in calls
        if isinstance(call.func, ast.Attribute)
        and (call.func.attr in ALWAYS_WRITES or (call.func.attr in WRITES_WHEN_BARE and is_bare(call)))
    ]


def text_of(node: ast.AST) -> str:
    """A string's text; in an f-string each part that is filled in stands as one word."""
    if isinstance(node, ast.JoinedStr):
        return "".join(str(part.value) if isinstance(part, ast.Constant) else "x" for part in node.values)
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def writing_sql(tree: ast.Module) -> list[tuple[int, str]]:
    prose = {id(doc.value) for node in ast.walk(tree) if (doc := is_docstring_of(node))}
    strings = [n for n in ast.walk(tree) if isinstance(n, (ast.Constant, ast.JoinedStr)) and id(n) not in prose]
    return [(node.lineno, "SQL that writes") for node in strings if WRITING_SQL.search(text_of(node))]


def breaches(file: Source) -> list[str]:
    if file.room in WRITERS:
        return []
    return sorted({f"{file.path}:{line}: {what}" for line, what in writing_calls(file.tree) + writing_sql(file.tree)})


def test_nothing_else_writes() -> None:
    files = list(sources("lots", "ledger"))
    assert files
    found = [breach for file in files if file.path not in EXCEPTED for breach in breaches(file)]
    assert found == [], listed(found)


def test_every_exception_still_stands_and_has_a_reason() -> None:
    stale = [
        path for path, reason in EXCEPTED.items()
        if len(reason) < 20 or not (ROOT / path).is_file()
        or not breaches(source(path, (ROOT / path).read_text(encoding="utf-8")))
    ]
    assert stale == []


@pytest.mark.parametrize("text", [
    "Lot.objects.create(code='A')",
    "lot.save()",
    "lot.save(update_fields=['code'])",
    "form.save(False)",
    "Lot.objects.filter(pk=1).update(code='B')",
    "Lot.objects.all().delete()",
    "Lot.objects.bulk_create(rows)",
    "Lot.objects.get_or_create(code='A')",
    "async def f():\n    await lot.asave()",
    "cursor.execute('INSERT INTO lot (code) VALUES (%s)', ['A'])",
    "cursor.execute(f'update {table} set code = 1')",
    "SQL = '''\n  WITH old AS (SELECT 1)\n  DELETE FROM lot'''",
    "cursor.execute('insert or replace into lot values (1)')",
    "cursor.execute('DROP TRIGGER lot_no_update')",
])
def test_a_write_is_seen(text: str) -> None:
    assert len(breaches(source("lots/desk/bad.py", text))) == 1


@pytest.mark.parametrize("text", [
    "known.update({'a': 1})",
    "digest.update(b'a')",
    "book.save(path)",
    "cache.delete('key')",
    "cursor.execute('SELECT 1 FROM lot')",
    "NOTE = 'Update the shelf and then set it back.'",
    "def f():\n    'Delete from here to there.'",
])
def test_what_writes_nothing_is_left_alone(text: str) -> None:
    assert breaches(source("lots/desk/good.py", text)) == []


def test_the_writing_rooms_may_write() -> None:
    assert breaches(source("lots/record/good.py", "lot.save()")) == []
