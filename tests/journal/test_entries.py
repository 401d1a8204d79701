"""Entries: the form of a body, and what the walk along the chain finds."""

from __future__ import annotations

import json
import uuid
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.journal.canonical import canonical_bytes, parse
from lots.journal.entries import Entry, LotLink, check_chain, compose, fingerprint, record_time
from lots.journal.errors import JournalError
from lots.journal.tree import leaf_hash

NOON = datetime(2026, 7, 14, 12, 0, 0, 123_987, tzinfo=UTC)
BY = "ab" * 32


def act_id(number: int) -> str:
    return str(uuid.UUID(int=abs(number), version=4))


def entry(seq: int, *links: LotLink, **changes: Any) -> Entry:
    facts = {"seq": seq, "act_id": act_id(seq), "kind": "load", "recorded_at": NOON, "by": BY, "act": {"mass_mg": seq}}
    return compose(**{**facts, **changes}, lots=links)


def chain(touched: list[list[str]]) -> list[bytes]:
    """Return the bodies of entries that touch the given lots, each lot's entries linked."""
    heads: dict[str, tuple[int, str]] = {}
    bodies = []
    for seq, lots in enumerate(touched):
        last = {lot: heads.get(lot, (0, "")) for lot in lots}
        made = entry(seq, *(LotLink(lot, count + 1, prev) for lot, (count, prev) in last.items()))
        heads.update({lot: (count + 1, made.leaf_hash.hex()) for lot, (count, _) in last.items()})
        bodies.append(made.body)
    return bodies


HONEST = chain([["H1"], ["H2"], ["R1", "H1"], ["R1", "H2"], [], ["R1"]])
TOUCHED = st.lists(st.lists(st.sampled_from(["H1", "H2", "R1", "M1"]), unique=True, max_size=3), max_size=8)


def test_the_body_has_the_agreed_keys_and_no_other() -> None:
    made = entry(0, LotLink("R260001AN", 1, ""))
    assert json.loads(made.body) == {
        "v": 1,
        "seq": 0,
        "id": "00000000-0000-4000-8000-000000000000",
        "type": "load",
        "at": "2026-07-14T12:00:00.123Z",
        "by": {"$h": BY},
        "act": {"mass_mg": 0},
        "lots": [{"lot": "R260001AN", "n": 1, "prev": ""}],
    }
    assert made.body == canonical_bytes(parse(made.body))
    assert made.leaf_hash == leaf_hash(made.body)


def test_lots_stand_in_order_of_their_codes() -> None:
    one, other = LotLink("H1", 1, ""), LotLink("R1", 2, "cd" * 32)
    assert entry(3, one, other) == entry(3, other, one)


def test_record_time_is_utc_cut_to_milliseconds() -> None:
    tokyo = timezone(timedelta(hours=9))
    assert record_time(datetime(2026, 1, 1, 8, 59, 59, 999_999, tzinfo=tokyo)) == "2025-12-31T23:59:59.999Z"
    with pytest.raises(JournalError, match="no time zone"):
        record_time(datetime(2026, 1, 1))  # noqa: DTZ001 - that it has none is the point


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"seq": -1}, "whole number from 0"),
        ({"seq": True}, "whole number from 0"),
        ({"act_id": "1"}, "version 4 UUID"),
        ({"act_id": str(uuid.UUID(int=1, version=1))}, "version 4 UUID"),
        ({"act_id": act_id(0xA).upper()}, "version 4 UUID"),
        ({"kind": "Load leaf"}, "kind of act"),
        ({"by": "Ota"}, "64 lower-case"),
        ({"act": {"mass": 1.5}}, r"act\.mass is of kind float"),
    ],
)
def test_what_the_journal_cannot_hold_is_refused(changes: dict[str, Any], said: str) -> None:
    with pytest.raises(JournalError, match=said):
        entry(**{"seq": 0, **changes})


@pytest.mark.parametrize(
    ("links", "said"),
    [
        ([LotLink("", 1, "")], "no plain code"),
        ([LotLink("荒茶", 1, "")], "no plain code"),
        ([LotLink("R1", 0, "")], "whole number from 1"),
        ([LotLink("R1", 1, "ab" * 32)], "before its first"),
        ([LotLink("R1", 2, "")], "hash of its entry before"),
        ([LotLink("R1", 2, "AB" * 32)], "hash of its entry before"),
        ([LotLink("R1", 1, ""), LotLink("R1", 2, "ab" * 32)], "one stands twice"),
    ],
)
def test_links_that_cannot_be_are_refused(links: list[LotLink], said: str) -> None:
    with pytest.raises(JournalError, match=said):
        entry(5, *links)


@given(TOUCHED)
def test_an_honest_chain_has_no_fault(touched: list[list[str]]) -> None:
    assert check_chain(chain(touched)) == []


def test_a_missing_entry_is_named_once() -> None:
    assert check_chain([*HONEST[:4], *HONEST[5:]]) == ["Entry 4 is missing: the next one is entry 5."]
    assert check_chain(HONEST[2:3])[0] == "Entries 0 to 1 are missing: the next one is entry 2."
    assert check_chain(HONEST[3:4])[0] == "Entries 0 to 2 are missing: the next one is entry 3."


def test_a_missing_entry_of_a_lot_is_named_with_the_lot() -> None:
    assert check_chain([*HONEST[:3], *HONEST[4:]]) == [
        "Entry 3 is missing: the next one is entry 4.",
        "Lot R1: entry 5 calls itself its record 3, but record 2 is due here.",
    ]


def test_a_changed_entry_breaks_the_chain_of_its_lots() -> None:
    body = parse(HONEST[2])
    body["act"] = {"mass_mg": 999}
    assert check_chain([*HONEST[:2], canonical_bytes(body), *HONEST[3:]]) == [
        "Lot R1: entry 3 does not continue its record 1 as it stands here.",
    ]


def test_swapped_and_repeated_entries_are_found() -> None:
    swapped = check_chain([HONEST[1], HONEST[0], *HONEST[2:]])
    assert swapped[0] == "Entry 0 is missing: the next one is entry 1."
    assert swapped[1] == "Entry 0 stands where entry 2 should."
    assert "Entry 5 stands where entry 6 should." in check_chain([*HONEST, HONEST[5]])


def test_an_act_recorded_twice_is_found() -> None:
    again = entry(6, act_id=act_id(4)).body
    assert check_chain([*HONEST, again]) == [f"Entry 6 records act {act_id(4)} again, which entry 4 recorded already."]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"v": 2}, "version is 2"),
        ({"v": True}, "version is True"),
        ({"more": 1}, "The keys are"),
        ({"at": "2026-07-14T12:00:00Z"}, "milliseconds and Z"),
        ({"at": "2026-02-30T12:00:00.000Z"}, "milliseconds and Z"),
        ({"by": BY}, "as a commitment"),
        ({"act": []}, "not an object"),
        ({"lots": {}}, "list of lot, n and prev"),
        ({"lots": [{"lot": "R1"}]}, "list of lot, n and prev"),
        ({"lots": [{"lot": 1, "n": 1, "prev": ""}]}, "no plain code"),
    ],
)
def test_bodies_of_another_shape_are_found(change: dict[str, Any], said: str) -> None:
    body = canonical_bytes({**parse(HONEST[4]), **change})
    faults = check_chain([*HONEST[:4], body, HONEST[5]])
    assert len(faults) == 1
    assert faults[0].startswith("Where entry 4 should stand: ")
    assert said in faults[0]


def test_bytes_that_are_not_canonical_are_found() -> None:
    spaced = json.dumps(parse(HONEST[4])).encode()
    faults = check_chain([*HONEST[:4], spaced, HONEST[5]])
    assert len(faults) == 1
    assert "not in canonical form" in faults[0]


@given(st.integers(0, len(HONEST) - 1), st.data())
def test_no_changed_byte_goes_unseen_while_a_lot_goes_on(at: int, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(HONEST[at]) - 1))
    changed = bytearray(HONEST[at])
    changed[place] ^= 1 << data.draw(st.integers(0, 7))
    faults = check_chain([*HONEST[:at], bytes(changed), *HONEST[at + 1 :]])
    # Entries 4 and 5 are the last of their chains: only the tree binds those.
    assert faults or at in {4, 5}


@given(st.lists(st.binary(max_size=30), max_size=4))
def test_any_bytes_give_sentences_and_no_crash(bodies: list[bytes]) -> None:
    faults = check_chain(bodies)
    assert len(faults) == len(bodies)
    assert all(fault.endswith(".") for fault in faults)


def test_the_fingerprint_tells_acts_apart() -> None:
    content = {"mass_mg": 41_830_000, "lot": "R260001AN"}
    assert fingerprint("load", content) == fingerprint("load", dict(reversed(content.items())))
    assert len({fingerprint("load", content), fingerprint("top_up", content), fingerprint("load", {})}) == 3
    with pytest.raises(JournalError, match="float"):
        fingerprint("load", {"mass_g": 41.83})


def test_a_fingerprint_under_a_key_cannot_be_worked_out_without_it() -> None:
    made = {fingerprint("hire", {"name": "Ota"}, key) for key in (b"", b"one", b"other")}
    assert len(made) == 3
    assert {len(one) for one in made} == {64}
