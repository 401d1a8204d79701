"""Merkle tree of RFC 9162 (section 2.1) with SHA-256: root, frontier, inclusion and consistency proofs.

Leaves are given as leaf hashes (32 bytes each, leftmost first); the tree never needs the records themselves. A path
is a list of node hashes from the leaves upwards.
"""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Sequence
from dataclasses import dataclass

from lots.journal.digests import HASH_SIZE
from lots.journal.errors import JournalError

LEAF_PREFIX = b"\x00"
NODE_PREFIX = b"\x01"
EMPTY_ROOT = hashlib.sha256(b"").digest()
_SIZE_BYTES = 8


def leaf_hash(data: bytes) -> bytes:
    """Return SHA-256(00 || data), the hash of one record (RFC 9162, 2.1.1)."""
    return hashlib.sha256(LEAF_PREFIX + data).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """Return SHA-256(01 || left || right), the hash of an inner node (RFC 9162, 2.1.1)."""
    return hashlib.sha256(NODE_PREFIX + left + right).digest()


def root(leaf_hashes: Sequence[bytes]) -> bytes:
    """Return the root over all leaves; of no leaves, SHA-256 of nothing (RFC 9162, 2.1.1).

    Raises ``JournalError`` when a leaf hash has not 32 bytes.
    """
    _check_leaves(leaf_hashes)
    return _range_root(leaf_hashes, 0, len(leaf_hashes)) if leaf_hashes else EMPTY_ROOT


def inclusion_path(leaf_hashes: Sequence[bytes], index: int) -> list[bytes]:
    """Return the path that proves the leaf at ``index`` (from 0) to be in the tree (RFC 9162, 2.1.3.1).

    Raises ``JournalError`` when there is no such leaf.
    """
    _check_leaves(leaf_hashes)
    if not 0 <= index < len(leaf_hashes):
        raise JournalError(f"There is no leaf {index} in a tree of {len(leaf_hashes)} leaves.")
    first, end, path = 0, len(leaf_hashes), []
    while end - first > 1:
        middle = first + _left_count(end - first)
        if index < middle:
            path.append(_range_root(leaf_hashes, middle, end))
            end = middle
        else:
            path.append(_range_root(leaf_hashes, first, middle))
            first = middle
    return path[::-1]


def consistency_path(leaf_hashes: Sequence[bytes], old_size: int) -> list[bytes]:
    """Return the path that proves the first ``old_size`` leaves to be a beginning of the tree (RFC 9162, 2.1.4.1).

    Raises ``JournalError`` unless 1 <= ``old_size`` <= number of leaves: an empty tree is a beginning of every tree and
    proves nothing.
    """
    _check_leaves(leaf_hashes)
    if not 1 <= old_size <= len(leaf_hashes):
        raise JournalError(f"A tree of {len(leaf_hashes)} leaves cannot be compared with one of {old_size}.")
    first, end, path = 0, len(leaf_hashes), []
    while old_size != end:
        middle = first + _left_count(end - first)
        if old_size <= middle:
            path.append(_range_root(leaf_hashes, middle, end))
            end = middle
        else:
            path.append(_range_root(leaf_hashes, first, middle))
            first = middle
    if first:
        path.append(_range_root(leaf_hashes, first, end))
    return path[::-1]


def verify_inclusion(leaf: bytes, index: int, size: int, path: Sequence[bytes], tree_root: bytes) -> bool:
    """Tell whether ``path`` proves the leaf hash to stand at ``index`` of the tree with ``size`` leaves and that root.

    Follows RFC 9162, 2.1.3.2. Never raises: a path with hashes of another length is refused like any wrong one.
    """
    if not 0 <= index < size or not _are_hashes([leaf, *path]):
        return False
    node, last, found = index, size - 1, leaf
    for sibling in path:
        if last == 0:
            return False
        if node & 1 or node == last:
            found = node_hash(sibling, found)
            node, last = _skip_lone_levels(node, last)
        else:
            found = node_hash(found, sibling)
        node, last = node >> 1, last >> 1
    return last == 0 and hmac.compare_digest(found, tree_root)


def verify_consistency(old_size: int, new_size: int, path: Sequence[bytes], old_root: bytes, new_root: bytes) -> bool:
    """Tell whether ``path`` proves the older tree to be a beginning of the newer one.

    Follows RFC 9162, 2.1.4.2. An old size of 0 is refused: such a proof says nothing. Never raises.
    """
    if not 1 <= old_size <= new_size or not _are_hashes(path):
        return False
    if old_size == new_size:
        return not path and hmac.compare_digest(old_root, new_root)
    nodes = [old_root, *path] if old_size & (old_size - 1) == 0 else list(path)
    return bool(path) and _climb_consistency(old_size, new_size, nodes, old_root, new_root)


def _climb_consistency(old_size: int, new_size: int, nodes: Sequence[bytes], old_root: bytes, new_root: bytes) -> bool:
    node, last = old_size - 1, new_size - 1
    while node & 1:
        node, last = node >> 1, last >> 1
    old_found = new_found = nodes[0]
    for sibling in nodes[1:]:
        if last == 0:
            return False
        if node & 1 or node == last:
            old_found, new_found = node_hash(sibling, old_found), node_hash(sibling, new_found)
            node, last = _skip_lone_levels(node, last)
        else:
            new_found = node_hash(new_found, sibling)
        node, last = node >> 1, last >> 1
    same = hmac.compare_digest(old_found, old_root) and hmac.compare_digest(new_found, new_root)
    return last == 0 and same


def _skip_lone_levels(node: int, last: int) -> tuple[int, int]:
    """Climb past the levels where the node has no sibling and is carried up as it is."""
    while node and not node & 1:
        node, last = node >> 1, last >> 1
    return node, last


@dataclass(frozen=True, slots=True)
class Frontier:
    """The right edge of a growing tree: enough to append and to name the root, without the leaves.

    ``size`` is the number of leaves; ``peaks`` are the roots of the full subtrees, largest (leftmost) first: one for
    each binary one of ``size``.
    """

    size: int = 0
    peaks: tuple[bytes, ...] = ()

    def __post_init__(self) -> None:
        """Refuse an edge that no tree has."""
        if not 0 <= self.size < 1 << 8 * _SIZE_BYTES or len(self.peaks) != self.size.bit_count():
            raise JournalError(f"A tree of {self.size} leaves has no edge of {len(self.peaks)} hashes.")
        _check_leaves(self.peaks)

    def append(self, leaf: bytes) -> Frontier:
        """Return the edge after one more leaf hash (32 bytes)."""
        peaks, carried, below = list(self.peaks), leaf, self.size
        while below & 1:
            carried, below = node_hash(peaks.pop(), carried), below >> 1
        return Frontier(self.size + 1, (*peaks, carried))

    def root(self) -> bytes:
        """Return the root of the tree, the same as ``root`` over all its leaves."""
        if not self.peaks:
            return EMPTY_ROOT
        found = self.peaks[-1]
        for peak in reversed(self.peaks[:-1]):
            found = node_hash(peak, found)
        return found

    def to_bytes(self) -> bytes:
        """Return the size as 8 bytes, most significant first, and then the peaks from left to right."""
        return self.size.to_bytes(_SIZE_BYTES, "big") + b"".join(self.peaks)

    @classmethod
    def from_bytes(cls, data: bytes) -> Frontier:
        """Read back what ``to_bytes`` wrote; raises ``JournalError`` when length and size do not agree."""
        size, rest = int.from_bytes(data[:_SIZE_BYTES], "big"), data[_SIZE_BYTES:]
        if len(data) != _SIZE_BYTES + HASH_SIZE * size.bit_count():
            raise JournalError("These bytes are not the edge of a tree: length and size do not agree.")
        return cls(size, tuple(rest[at : at + HASH_SIZE] for at in range(0, len(rest), HASH_SIZE)))


def _left_count(count: int) -> int:
    """Return the largest power of two below ``count`` (at least 2): the leaves of the left subtree."""
    return 1 << ((count - 1).bit_length() - 1)


def _range_root(leaf_hashes: Sequence[bytes], first: int, end: int) -> bytes:
    if end - first == 1:
        return leaf_hashes[first]
    middle = first + _left_count(end - first)
    return node_hash(_range_root(leaf_hashes, first, middle), _range_root(leaf_hashes, middle, end))


def _are_hashes(values: Sequence[bytes]) -> bool:
    # Without this, two neighbours of 31 and 33 bytes would hash like two of 32.
    return all(isinstance(value, bytes) and len(value) == HASH_SIZE for value in values)


def _check_leaves(values: Sequence[bytes]) -> None:
    if not _are_hashes(values):
        raise JournalError("A hash of the tree has not 32 bytes.")
