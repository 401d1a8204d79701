"""Roots and proofs of the tree as others have published them."""

from __future__ import annotations

import pytest

from lots.journal.tree import (
    EMPTY_ROOT,
    Frontier,
    consistency_path,
    inclusion_path,
    leaf_hash,
    node_hash,
    root,
    verify_consistency,
    verify_inclusion,
)

# Leaf inputs and roots of sizes 0 to 8 used by the test suites of Certificate Transparency (RFC 6962 and RFC 9162 have the same
# tree): transparency-dev/merkle, testonly/constants.go.
INPUTS = [
    bytes.fromhex(text)
    for text in ("", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f")
]
ROOTS = [
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
]
LEAVES = [leaf_hash(data) for data in INPUTS]


@pytest.mark.parametrize("size", range(9))
def test_published_roots(size: int) -> None:
    edge = Frontier()
    for leaf in LEAVES[:size]:
        edge = edge.append(leaf)
    assert root(LEAVES[:size]).hex() == ROOTS[size]
    assert edge.root().hex() == ROOTS[size]


def test_the_root_of_nothing_is_the_hash_of_nothing() -> None:
    # FIPS 180-4: SHA-256 of the empty message.
    assert EMPTY_ROOT.hex() == ROOTS[0]


def test_the_worked_tree_of_the_standard() -> None:
    # RFC 6962 section 2.1.3 and RFC 9162 section 2.1.5: the tree of seven leaves, its nodes a to l, and its audit paths.
    tree = LEAVES[:7]
    a, b, c, d, e, f, j = tree
    g, h, i = node_hash(a, b), node_hash(c, d), node_hash(e, f)
    k, last = node_hash(g, h), node_hash(i, j)
    assert root(tree) == node_hash(k, last)
    assert inclusion_path(tree, 0) == [b, h, last]
    assert inclusion_path(tree, 3) == [c, g, last]
    assert inclusion_path(tree, 4) == [f, j, k]
    assert inclusion_path(tree, 6) == [i, k]
    assert consistency_path(tree, 3) == [c, d, g, last]
    assert consistency_path(tree, 4) == [last]
    assert consistency_path(tree, 6) == [i, j, k]


def test_the_worked_proofs_hold() -> None:
    for index in (0, 3, 4, 6):
        assert verify_inclusion(LEAVES[index], index, 7, inclusion_path(LEAVES[:7], index), bytes.fromhex(ROOTS[7]))
    for old_size in (3, 4, 6):
        roots = bytes.fromhex(ROOTS[old_size]), bytes.fromhex(ROOTS[7])
        assert verify_consistency(old_size, 7, consistency_path(LEAVES[:7], old_size), *roots)
