"""Short functions, short files."""

from __future__ import annotations

from statistics import median

from tests.contracts.rooms import Function, Source, functions, is_docstring_of, listed, source, sources

LONGEST_FUNCTION_LINES = 50
MEDIAN_FUNCTION_LINES = 8
LONGEST_FILE_LINES = 250
LONGEST_EXCEPTED_FILE_LINES = 450
# Files that hold one subject and would not read better in two, each with its reason.
EXCEPTED: dict[str, str] = {}


def code_lines(function: Function) -> int:
    """Lines from `def` to the end without the docstring, which other contracts ask for."""
    doc = is_docstring_of(function)
    return (function.end_lineno or 0) - function.lineno + 1 - ((doc.end_lineno or 0) - doc.lineno + 1 if doc else 0)


def long_functions(file: Source) -> list[str]:
    return [
        f"{file.path}:{function.lineno}: {function.name} has {code_lines(function)} lines"
        for function in functions(file.tree) if code_lines(function) > LONGEST_FUNCTION_LINES
    ]


def allowed_lines(path: str) -> int:
    """Tests may hold one long table of published values."""
    return LONGEST_EXCEPTED_FILE_LINES if path in EXCEPTED or path.startswith("tests/") else LONGEST_FILE_LINES


def long_files(files: list[Source]) -> list[str]:
    return [f"{file.path} has {file.lines} lines" for file in files if file.lines > allowed_lines(file.path)]


def test_no_function_is_long() -> None:
    found = [line for file in sources("lots", "ledger") for line in long_functions(file)]
    assert found == [], listed(found)


def test_most_functions_are_short() -> None:
    lengths = [code_lines(function) for file in sources("lots", "ledger") for function in functions(file.tree)]
    assert median(lengths) <= MEDIAN_FUNCTION_LINES


def test_no_file_is_long() -> None:
    found = long_files(list(sources("lots", "ledger", "tests")))
    assert found == [], listed(found)


def test_every_exception_is_needed_and_has_a_reason() -> None:
    long = {file.path for file in sources("lots", "ledger") if file.lines > LONGEST_FILE_LINES}
    assert {path for path, reason in EXCEPTED.items() if path not in long or len(reason) < 20} == set()


def test_a_long_function_is_seen() -> None:
    body = "    x = 1\n" * LONGEST_FUNCTION_LINES
    assert len(long_functions(source("lots/desk/bad.py", "def f():\n" + body))) == 1
    assert long_functions(source("lots/desk/good.py", 'def f():\n    """' + "words\n" * 60 + '"""\n    x = 1\n')) == []


def test_a_long_file_is_seen() -> None:
    bad = source("lots/desk/bad.py", "x = 1\n" * (LONGEST_FILE_LINES + 1))
    assert len(long_files([bad])) == 1
    assert long_files([source("tests/published/test_good.py", bad.text)]) == []
