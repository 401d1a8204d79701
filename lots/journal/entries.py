"""The body of a journal entry, and the walk along the entries that finds what was torn out or slipped in.

A body has exactly the keys ``v seq id type at by act lots``. ``seq`` counts entries from 0, ``n`` counts the entries
of one lot from 1, and ``prev`` is the leaf hash of that lot's entry before, or empty text at its first.
"""

from __future__ import annotations

import hashlib
import hmac
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import pairwise
from typing import Any

from lots.journal.canonical import canonical_bytes, parse
from lots.journal.commitments import as_reference, is_reference
from lots.journal.digests import is_sha256_hex, sha256_hex
from lots.journal.errors import JournalError
from lots.journal.tree import leaf_hash

BODY_VERSION = 1
BODY_KEYS = frozenset({"v", "seq", "id", "type", "at", "by", "act", "lots"})
LINK_KEYS = frozenset({"lot", "n", "prev"})
_ACT_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_KIND = re.compile(r"[a-z][a-z0-9_.-]{0,39}")
_RECORD_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", re.ASCII)


@dataclass(frozen=True, slots=True)
class LotLink:
    """An entry's place in the chain of one lot: folded code, count from 1, hash of its last entry ("" at the first)."""

    lot: str
    n: int
    prev: str


@dataclass(frozen=True, slots=True)
class Entry:
    """A finished entry: canonical bytes and their leaf hash (32 bytes), which as hex is its lots' next ``prev``."""

    body: bytes
    leaf_hash: bytes


def compose(
    seq: int,
    act_id: str,
    kind: str,
    recorded_at: datetime,
    by: str,
    *,
    act: Mapping[str, Any],
    lots: Sequence[LotLink],
) -> Entry:
    """Return the entry for one act.

    ``act_id`` is a version 4 UUID in lower case, ``recorded_at`` carries a time zone, ``by`` is the commitment to the
    person (64 hexadecimal digits), ``act`` is of the canonical profile. Lots are written in order of their codes, so
    that one act has one byte form. Raises ``JournalError`` for whatever the journal cannot hold.
    """
    body = {
        "v": BODY_VERSION,
        "seq": seq,
        "id": act_id,
        "type": kind,
        "at": record_time(recorded_at),
        "by": as_reference(by),
        "act": dict(act),
        "lots": [{"lot": link.lot, "n": link.n, "prev": link.prev} for link in sorted(lots, key=lambda link: link.lot)],
    }
    for fault in _shape_faults(body):
        raise JournalError(f"Entry {seq} cannot be written: {fault}.")
    data = canonical_bytes(body)
    return Entry(data, leaf_hash(data))


def record_time(moment: datetime) -> str:
    """Return a moment as the journal writes it: RFC 3339, UTC, cut to milliseconds, ending in Z.

    Raises ``JournalError`` when the moment has no time zone.
    """
    if moment.utcoffset() is None:
        raise JournalError("The time of an entry has no time zone, so nobody could tell when it was.")
    return moment.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="milliseconds") + "Z"


def fingerprint(act_kind: str, content: Mapping[str, Any], key: bytes = b"") -> str:
    """Return 64 hexadecimal digits that tell a repeated act from another one under the same id.

    SHA-256 over the canonical bytes of kind and content or, with a key, HMAC-SHA-256 (RFC 2104) over them.
    ``content`` is what was typed, before any salt is drawn: a salt would make every repetition look new. Without a
    key the fingerprint of content about a person can be guessed back to that person; where the row outlives an
    erasure, give a key. Raises ``JournalError`` for content outside the canonical profile.
    """
    data = canonical_bytes({"content": dict(content), "type": act_kind})
    return hmac.new(key, data, hashlib.sha256).hexdigest() if key else sha256_hex(data)


def check_chain(entries: Iterable[bytes]) -> list[str]:
    """Walk the bodies in order from entry 0 and return one plain sentence for every fault; an empty list means none.

    Finds bytes that are not canonical, bodies of another shape, gaps and repeats in ``seq``, an act id used twice,
    gaps in a lot's count and ``prev`` values that are not the hash of that lot's entry before. After a fault it goes
    on from what it read, so one missing entry is reported once and not once more for each entry behind it. Entries
    torn off the end leave no trace here: the size in a checkpoint tells of them.
    """
    walk = _Walk()
    for body in entries:
        walk.take(body)
    return walk.faults


@dataclass(slots=True)
class _Walk:
    expected: int = 0
    heads: dict[str, tuple[int, str]] = field(default_factory=dict)
    first_use: dict[str, int] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    def take(self, data: bytes) -> None:
        try:
            body = parse(data)
        except JournalError as fault:
            self._skip(str(fault))
            return
        shape = _shape_faults(body)
        if shape:
            self._skip(f"{_capital('; '.join(shape))}.")
            return
        self._take_seq(body["seq"])
        self._take_id(body["id"], body["seq"])
        for link in body["lots"]:
            self._take_link(LotLink(**link), body["seq"], leaf_hash(data).hex())

    def _skip(self, reason: str) -> None:
        self.faults.append(f"Where entry {self.expected} should stand: {reason}")
        self.expected += 1

    def _take_seq(self, seq: int) -> None:
        if seq > self.expected:
            many = seq - 1 > self.expected
            lost = f"Entries {self.expected} to {seq - 1} are" if many else f"Entry {self.expected} is"
            self.faults.append(f"{lost} missing: the next one is entry {seq}.")
        elif seq < self.expected:
            self.faults.append(f"Entry {seq} stands where entry {self.expected} should.")
        self.expected = seq + 1

    def _take_id(self, act_id: str, seq: int) -> None:
        first = self.first_use.setdefault(act_id, seq)
        if first != seq:
            self.faults.append(f"Entry {seq} records act {act_id} again, which entry {first} recorded already.")

    def _take_link(self, link: LotLink, seq: int, hash_hex: str) -> None:
        count, head = self.heads.get(link.lot, (0, ""))
        if link.n != count + 1:
            self.faults.append(
                f"Lot {link.lot}: entry {seq} calls itself its record {link.n}, but record {count + 1} is due here."
            )
        elif link.prev != head:
            self.faults.append(f"Lot {link.lot}: entry {seq} does not continue its record {count} as it stands here.")
        self.heads[link.lot] = (link.n, hash_hex)


def _shape_faults(body: Mapping[str, Any]) -> list[str]:
    if body.keys() != BODY_KEYS:
        return [f"the keys are {', '.join(sorted(body))} and not {', '.join(sorted(BODY_KEYS))}"]
    checks = (
        (_is_count(body["v"], 1) and body["v"] == BODY_VERSION, f"the version is {body['v']} and not {BODY_VERSION}"),
        (_is_count(body["seq"], 0), "the place in the journal is not a whole number from 0"),
        (_matches(_ACT_ID, body["id"]), "the id of the act is not a version 4 UUID in lower case"),
        (_matches(_KIND, body["type"]), "the kind of act is not one plain lower-case word of at most 40 signs"),
        (_is_record_time(body["at"]), "the time is not written in UTC with milliseconds and Z"),
        (is_reference(body["by"]), "the person is not written as a commitment"),
        (isinstance(body["act"], dict), "the act is not an object"),
    )
    return [fault for good, fault in checks if not good] + _link_faults(body["lots"])


def _link_faults(lots: object) -> list[str]:
    if not isinstance(lots, list) or not all(isinstance(link, dict) and link.keys() == LINK_KEYS for link in lots):
        return ["the lots are not a list of lot, n and prev"]
    faults = [fault for link in lots for fault in _one_link_faults(link)]
    codes = [str(link["lot"]) for link in lots]
    if any(later <= earlier for earlier, later in pairwise(codes)):
        faults.append("the lots are not in order of their codes, or one stands twice")
    return faults


def _one_link_faults(link: Mapping[str, Any]) -> list[str]:
    lot, count, prev = link["lot"], link["n"], link["prev"]
    if not isinstance(lot, str) or not lot or not lot.isascii():
        return ["a lot has no plain code"]
    if not _is_count(count, 1):
        return [f"lot {lot} is not counted by a whole number from 1"]
    if count == 1 and prev != "":
        return [f"lot {lot} names an entry before its first"]
    if count > 1 and not is_sha256_hex(prev):
        return [f"lot {lot} does not name the hash of its entry before"]
    return []


def _is_count(value: object, least: int) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value >= least


def _matches(pattern: re.Pattern[str], value: object) -> bool:
    return isinstance(value, str) and pattern.fullmatch(value) is not None


def _is_record_time(value: object) -> bool:
    if not _matches(_RECORD_TIME, value):
        return False
    try:
        datetime.fromisoformat(str(value))
    except ValueError:
        return False
    return True


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
