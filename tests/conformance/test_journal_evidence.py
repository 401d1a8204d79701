"""The journal against the reference vectors for trees and canonical JSON.

They lie outside the project, in the folder that LEDGER_REFERENCE names; without it these tests fail.
"""

from __future__ import annotations

import base64
import json
import os
from pathlib import Path
from typing import Any
from unicodedata import is_normalized

import pytest
import rfc8785

from lots.journal.canonical import canonical_bytes, parse
from lots.journal.errors import JournalError
from lots.journal.tree import (
    Frontier,
    consistency_path,
    inclusion_path,
    leaf_hash,
    root,
    verify_consistency,
    verify_inclusion,
)

PROJECT = Path(__file__).resolve().parents[2]
EVIDENCE = PROJECT / os.environ.get("LEDGER_REFERENCE", "../shared/reference") / "evidence"
CANONICAL = ["arrays", "french", "structures", "unicode", "values", "weird"]


def load(name: str) -> Any:
    return json.loads((EVIDENCE / name).read_text(encoding="utf-8"))


def in_bytes(text: str | None) -> bytes:
    return base64.b64decode(text or "")


@pytest.fixture(scope="module")
def eight() -> dict[str, Any]:
    return load("merkle/eight_leaf.json")


@pytest.fixture(scope="module")
def leaves(eight: dict[str, Any]) -> list[bytes]:
    return [leaf_hash(bytes.fromhex(text)) for text in eight["leaf_inputs_hex"]]


def test_leaf_hashes_and_roots(eight: dict[str, Any], leaves: list[bytes]) -> None:
    assert [leaf.hex() for leaf in leaves] == eight["leaf_hashes_hex"]
    assert [root(leaves[:size]).hex() for size in range(9)] == eight["root_hashes_hex_by_size"]
    edge = Frontier()
    for size, leaf in enumerate(leaves):
        assert edge.root().hex() == eight["root_hashes_hex_by_size"][size]
        edge = edge.append(leaf)


def test_every_inclusion_path(eight: dict[str, Any], leaves: list[bytes]) -> None:
    assert len(eight["inclusion"]) == 36
    for case in eight["inclusion"]:
        index, size = case["leaf_index"], case["tree_size"]
        path = inclusion_path(leaves[:size], index)
        assert [node.hex() for node in path] == case["path"]
        assert verify_inclusion(leaves[index], index, size, path, root(leaves[:size]))


def test_every_consistency_path(eight: dict[str, Any], leaves: list[bytes]) -> None:
    assert len(eight["consistency"]) == 36
    for case in eight["consistency"]:
        old_size, new_size = case["size1"], case["size2"]
        path = consistency_path(leaves[:new_size], old_size)
        assert [node.hex() for node in path] == case["path"]
        assert verify_consistency(old_size, new_size, path, root(leaves[:old_size]), root(leaves[:new_size]))


def test_inclusion_cases_of_another_project() -> None:
    cases = load("merkle/tdev_inclusion.json")
    assert (len(cases), sum(case["wantErr"] for case in cases)) == (98, 92)
    for case in cases:
        path = [in_bytes(node) for node in case["proof"] or []]
        leaf, tree_root = in_bytes(case["leafHash"]), in_bytes(case["root"])
        held = verify_inclusion(leaf, case["leafIdx"], case["treeSize"], path, tree_root)
        assert held is not case["wantErr"], case["name"]


def test_consistency_cases_of_another_project() -> None:
    cases = load("merkle/tdev_consistency.json")
    assert (len(cases), sum(case["wantErr"] for case in cases)) == (98, 92)
    for case in cases:
        path = [in_bytes(node) for node in case["proof"] or []]
        roots = in_bytes(case["root1"]), in_bytes(case["root2"])
        assert verify_consistency(case["size1"], case["size2"], path, *roots) is not case["wantErr"], case["name"]


@pytest.mark.parametrize("name", CANONICAL)
def test_the_package_gives_the_canonical_bytes(name: str) -> None:
    value = json.loads((EVIDENCE / f"jcs/{name}.input.json").read_text(encoding="utf-8"))
    expected = bytes.fromhex((EVIDENCE / f"jcs/{name}.outhex.txt").read_text(encoding="ascii"))
    assert rfc8785.dumps(value) == expected
    assert expected == (EVIDENCE / f"jcs/{name}.output.json").read_bytes()


def test_a_vector_within_our_profile_is_written_and_read_alike() -> None:
    expected = (EVIDENCE / "jcs/arrays.output.json").read_bytes()
    assert canonical_bytes(load("jcs/arrays.input.json")) == expected
    with pytest.raises(JournalError, match="a single value or a list"):
        parse(expected)


def test_a_vector_whose_only_fraction_is_whole_is_written_and_read_alike() -> None:
    expected = (EVIDENCE / "jcs/structures.output.json").read_bytes()
    whole = json.loads((EVIDENCE / "jcs/structures.input.json").read_text(encoding="utf-8"), parse_float=lambda text: int(float(text)))
    assert canonical_bytes(whole) == expected
    assert parse(expected) == whole


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("french", "keys are plain ASCII"),
        ("structures", r"1\.\n is of kind float"),
        ("unicode", "normal form C"),
        ("values", r"numbers\[0\] is of kind float"),
        ("weird", "keys are plain ASCII"),
    ],
)
def test_vectors_outside_our_profile_are_refused_with_the_reason(name: str, reason: str) -> None:
    with pytest.raises(JournalError, match=reason):
        canonical_bytes(load(f"jcs/{name}.input.json"))


@pytest.mark.parametrize("name", ["french", "weird"])
def test_texts_of_those_vectors_are_written_alike_as_values(name: str) -> None:
    expected = (EVIDENCE / f"jcs/{name}.output.json").read_bytes()
    pairs = [pair for pair in load(f"jcs/{name}.input.json").items() if is_normalized("NFC", pair[0])]
    assert len(pairs) >= 4
    assert all(canonical_bytes(key) + b":" + canonical_bytes(text) in expected for key, text in pairs)
