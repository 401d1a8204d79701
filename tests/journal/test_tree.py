"""The tree: its proofs hold, and no other proof does."""

from __future__ import annotations

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.journal.errors import JournalError
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

SIZE_MAX = 40
LEAVES = [leaf_hash(str(number).encode()) for number in range(SIZE_MAX)]
ROOTS = [root(LEAVES[:size]) for size in range(SIZE_MAX + 1)]
SIZES = st.integers(1, SIZE_MAX)


@st.composite
def inclusions(draw: st.DrawFn) -> tuple[int, int, list[bytes]]:
    size = draw(SIZES)
    index = draw(st.integers(0, size - 1))
    return index, size, inclusion_path(LEAVES[:size], index)


@st.composite
def consistencies(draw: st.DrawFn) -> tuple[int, int, list[bytes]]:
    new_size = draw(SIZES)
    old_size = draw(st.integers(1, new_size))
    return old_size, new_size, consistency_path(LEAVES[:new_size], old_size)


@st.composite
def mutated(draw: st.DrawFn, path: list[bytes]) -> list[bytes]:
    """Return a path that differs from the given one: a bit turned, a hash lost, doubled, added, swapped or cut in two."""
    changed, kind = list(path), draw(st.sampled_from(["bit", "drop", "add", "swap", "recut"]))
    at = draw(st.integers(0, max(len(path) - 1, 0)))
    if kind == "bit" and path:
        bit = draw(st.integers(0, 255))
        changed[at] = (int.from_bytes(path[at], "big") ^ 1 << bit).to_bytes(32, "big")
    elif kind == "drop" and path:
        del changed[at]
    elif kind == "swap" and len(path) > 1:
        changed[at - 1], changed[at] = changed[at], changed[at - 1]
    elif kind == "recut" and len(path) > 1:
        changed[at - 1], changed[at] = changed[at - 1][:31], changed[at - 1][31:] + changed[at]
    else:
        changed.insert(at, draw(st.sampled_from([*LEAVES, EMPTY_ROOT, b"", bytes(32)])))
    return changed


def test_prefixes_keep_leaves_and_nodes_apart() -> None:
    assert leaf_hash(b"x") == hashlib.sha256(b"\x00x").digest()
    assert node_hash(b"l", b"r") == hashlib.sha256(b"\x01lr").digest()


@pytest.mark.parametrize("size", range(SIZE_MAX + 1))
def test_the_frontier_names_the_root_of_the_whole_tree(size: int) -> None:
    edge = Frontier()
    for leaf in LEAVES[:size]:
        edge = edge.append(leaf)
    assert (edge.size, edge.root()) == (size, ROOTS[size])
    assert len(edge.to_bytes()) == 8 + 32 * size.bit_count()
    assert Frontier.from_bytes(edge.to_bytes()) == edge


@pytest.mark.parametrize("data", [b"", bytes(7), bytes(8) + b"x", (1).to_bytes(8, "big"), (1).to_bytes(8, "big") + bytes(64)])
def test_bytes_of_no_frontier_are_refused(data: bytes) -> None:
    with pytest.raises(JournalError, match="do not agree"):
        Frontier.from_bytes(data)


def test_an_edge_that_no_tree_has_is_refused() -> None:
    with pytest.raises(JournalError, match="no edge"):
        Frontier(3, (bytes(32),))
    with pytest.raises(JournalError, match="no edge"):
        Frontier(-1, (bytes(32),))
    with pytest.raises(JournalError, match="32 bytes"):
        Frontier(1, (bytes(31),))
    with pytest.raises(JournalError, match="32 bytes"):
        Frontier().append(b"short")


def test_every_inclusion_proof_holds_for_its_own_leaf_only() -> None:
    for size in range(1, SIZE_MAX + 1):
        for index in range(size):
            path = inclusion_path(LEAVES[:size], index)
            assert verify_inclusion(LEAVES[index], index, size, path, ROOTS[size])
            assert not verify_inclusion(LEAVES[index - 1], index, size, path, ROOTS[size]) or size == 1


def test_every_consistency_proof_holds() -> None:
    for new_size in range(1, SIZE_MAX + 1):
        for old_size in range(1, new_size + 1):
            path = consistency_path(LEAVES[:new_size], old_size)
            assert verify_consistency(old_size, new_size, path, ROOTS[old_size], ROOTS[new_size])


@given(st.data())
def test_changed_inclusion_proofs_are_refused(data: st.DataObject) -> None:
    index, size, path = data.draw(inclusions())
    other = data.draw(mutated(path))
    assert other == path or not verify_inclusion(LEAVES[index], index, size, other, ROOTS[size])


@given(inclusions(), st.integers(-1, SIZE_MAX + 1))
def test_an_inclusion_proof_speaks_for_one_place_only(proof: tuple[int, int, list[bytes]], other: int) -> None:
    index, size, path = proof
    assert other == index or not verify_inclusion(LEAVES[index], other, size, path, ROOTS[size])


@given(st.data())
def test_changed_consistency_proofs_are_refused(data: st.DataObject) -> None:
    old_size, new_size, path = data.draw(consistencies())
    other = data.draw(mutated(path))
    assert other == path or not verify_consistency(old_size, new_size, other, ROOTS[old_size], ROOTS[new_size])


@given(consistencies(), st.integers(0, SIZE_MAX))
def test_a_consistency_proof_speaks_for_its_own_roots_only(proof: tuple[int, int, list[bytes]], other: int) -> None:
    old_size, new_size, path = proof
    assert other == old_size or not verify_consistency(old_size, new_size, path, ROOTS[other], ROOTS[new_size])
    assert other == new_size or not verify_consistency(old_size, new_size, path, ROOTS[old_size], ROOTS[other])


@given(consistencies(), st.integers(-1, SIZE_MAX + 1))
def test_sizes_of_a_consistency_proof_cannot_be_changed(proof: tuple[int, int, list[bytes]], other: int) -> None:
    old_size, new_size, path = proof
    assert other == old_size or not verify_consistency(other, new_size, path, ROOTS[old_size], ROOTS[new_size])


@given(st.integers(2, SIZE_MAX), st.data())
def test_a_rewritten_leaf_breaks_every_later_proof(size: int, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, size - 1))
    old_size = data.draw(st.integers(at + 1, size))
    forged = [*LEAVES[:at], leaf_hash(b"another mass"), *LEAVES[at + 1 : size]]
    path = consistency_path(forged, old_size)
    assert not verify_consistency(old_size, size, path, ROOTS[old_size], root(forged))


def test_an_empty_old_tree_proves_nothing() -> None:
    assert not verify_consistency(0, 0, [], EMPTY_ROOT, EMPTY_ROOT)
    assert not verify_consistency(0, 3, [], EMPTY_ROOT, ROOTS[3])
    with pytest.raises(JournalError, match="cannot be compared"):
        consistency_path(LEAVES[:3], 0)


def test_what_is_not_in_the_tree_cannot_be_proved() -> None:
    with pytest.raises(JournalError, match="no leaf 3"):
        inclusion_path(LEAVES[:3], 3)
    with pytest.raises(JournalError, match="no leaf -1"):
        inclusion_path(LEAVES[:3], -1)
    with pytest.raises(JournalError, match="cannot be compared"):
        consistency_path(LEAVES[:3], 4)
    with pytest.raises(JournalError, match="32 bytes"):
        root([b"short"])


def test_a_frontier_holds_sizes_of_eight_bytes() -> None:
    assert Frontier(2**63, (bytes(32),)).to_bytes()[:8] == bytes([128, 0, 0, 0, 0, 0, 0, 0])
    with pytest.raises(JournalError, match="no edge"):
        Frontier(2**64, (bytes(32),))
