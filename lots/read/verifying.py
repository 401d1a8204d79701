"""The whole-ledger check: every row, field by field, against the journal; the chain, the tree, and all that is derived.

Nothing here trusts a column that the journal can tell. Each fault is one plain sentence.
"""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from django.db import models

from lots.journal.canonical import parse
from lots.journal.commitments import opens
from lots.journal.entries import check_chain
from lots.journal.errors import JournalError
from lots.journal.tree import Frontier, leaf_hash, root
from lots.models import WRITTEN, DriedLeafLot, JournalEntry, JournalHead, Lot, LotEntry, PrivateValue
from lots.models.written import moment, named_relations, written
from lots.read.verifying_derived import derived_faults

Tell = Callable[[str, int, int], None]
CHUNK = 400


def verify_book(tell: Tell = lambda *_: None) -> list[str]:
    """Return every fault of the book; an empty list means that rows, stock, chain and tree agree with the journal."""
    walk = _Rows()
    faults: list[str] = []
    leaves: list[bytes] = []
    whole = JournalEntry.objects.count()
    for entries in chunks():
        faults += check_entries(entries, leaves)
        faults += walk.take(entries)
        tell("entries", len(leaves), whole)
    faults += check_chain(bytes(b) for b in JournalEntry.objects.order_by("seq").values_list("body", flat=True).iterator())
    faults += walk.strangers()
    faults += check_head(leaves)
    faults += check_private(tell)
    return faults + what_follows(faults, tell)


def what_follows(faults: Sequence[str], tell: Tell) -> list[str]:
    """Return the faults of the derived tables; on a book whose rows are broken they may not be workable at all."""
    try:
        return derived_faults(tell)
    except Exception as broken:  # any error can follow from a broken row; without one it is ours to mend
        if not faults:
            raise
        return [f"What is derived cannot be worked out from such rows ({type(broken).__name__}: {broken})."]


def chunks() -> Iterator[Sequence[JournalEntry]]:
    """Yield the entries in order, some hundred at a time."""
    rows: list[JournalEntry] = []
    for entry in JournalEntry.objects.order_by("seq").iterator(chunk_size=CHUNK):
        rows.append(entry)
        if len(rows) == CHUNK:
            yield rows
            rows = []
    if rows:
        yield rows


def check_entries(entries: Sequence[JournalEntry], leaves: list[bytes]) -> list[str]:
    """Compare the columns of each entry with its own body, and gather leaf hashes."""
    faults = []
    for entry in entries:
        data = bytes(entry.body)
        leaves.append(leaf_hash(data))
        if leaves[-1] != bytes(entry.leaf_hash):
            faults.append(f"Entry {entry.seq}: the leaf hash does not belong to its body.")
        try:
            body = parse(data)
        except JournalError:
            continue  # check_chain says so, with the place
        act = body.get("act")
        told = {
            "seq": body.get("seq"), "id": body.get("id"), "type": body.get("type"), "at": body.get("at"),
            "happened_at": act.get("happened_at") if isinstance(act, dict) else None,
        }
        stands = {
            "seq": entry.seq, "id": str(entry.act_id), "type": entry.kind, "at": moment(entry.recorded_at),
            "happened_at": moment(entry.happened_at),
        }
        faults += differences(f"Entry {entry.seq}", told, stands)
    return faults


def differences(what: str, told: dict[str, Any], stands: dict[str, Any]) -> list[str]:
    """Return one sentence for each field in which a row and its entry differ."""
    return [
        f"{what}: {name} stands as {show(stands.get(name))}, the journal says {show(told.get(name))}."
        for name in sorted(told.keys() | stands.keys())
        if told.get(name) != stands.get(name)
    ]


def show(value: Any) -> str:
    """Return a value as a person reads it in a list of faults."""
    return "nothing" if value is None else json.dumps(value, ensure_ascii=False)


class _Rows:
    """Compares the rows of the book with the rows that the entries carry, a chunk of entries at a time."""

    def __init__(self) -> None:
        self.told: Counter[type[models.Model]] = Counter()
        self.lot_entries = 0

    def take(self, entries: Sequence[JournalEntry]) -> list[str]:
        """Return the faults of the rows that these entries wrote."""
        carried: dict[type[models.Model], dict[Any, tuple[int, dict[str, Any]]]] = defaultdict(dict)
        links: dict[tuple[int, str], int] = {}
        by_table = {m._meta.db_table: m for m in WRITTEN}
        for entry in entries:
            body = readable(entry)
            for table, rows in body["act"].get("rows", {}).items():
                model = by_table[table]
                key = model._meta.pk.name
                for row in rows:
                    carried[model][row[key]] = (entry.seq, row)
            links |= {(entry.seq, link["lot"]): link["n"] for link in body["lots"]}
        faults = [f for model, rows in carried.items() for f in self.compare(model, rows)]
        return faults + self.compare_links(links)

    def compare(self, model: type[models.Model], told: dict[Any, tuple[int, dict[str, Any]]]) -> list[str]:
        """Compare rows of one table with what entries carry."""
        self.told[model] += len(told)
        keys = {pk_value(model, key): key for key in told}
        stand = {row.pk: row for row in rows_of(model, list(keys))}
        faults = []
        for pk, key in keys.items():
            seq, row = told[key]
            what = f"{model._meta.db_table} {key} (entry {seq})"
            if pk not in stand:
                faults.append(f"{what}: the row is missing.")
                continue
            faults += differences(what, row, written(stand[pk]))
            if getattr(stand[pk], "entry_id", seq) != seq:
                faults.append(f"{what}: the row points at entry {stand[pk].entry_id}.")  # type: ignore[attr-defined]
        return faults

    def compare_links(self, told: dict[tuple[int, str], int]) -> list[str]:
        """Compare the index of lots and entries with what the entries carry."""
        self.lot_entries += len(told)
        seqs = {seq for seq, _ in told}
        rows = LotEntry.objects.filter(entry__in=seqs).values_list("entry_id", "lot__code", "n")
        stand = {(seq, code): n for seq, code, n in rows}
        return [
            f"lot_entry of lot {code} (entry {seq}): stands as {show(stand.get((seq, code)))}, "
            f"the journal says {show(told.get((seq, code)))}."
            for seq, code in sorted(told.keys() | stand.keys())
            if told.get((seq, code)) != stand.get((seq, code))
        ]

    def strangers(self) -> list[str]:
        """Return a fault for each table that holds more rows than the entries carry."""
        faults = []
        for model in WRITTEN:
            here = model.objects.count()  # type: ignore[attr-defined]
            if here != self.told[model]:
                faults.append(f"{model._meta.db_table}: {here} rows stand, the journal carries {self.told[model]}.")
        here = LotEntry.objects.count()
        if here != self.lot_entries:
            faults.append(f"lot_entry: {here} rows stand, the journal carries {self.lot_entries}.")
        return faults


def readable(entry: JournalEntry) -> dict[str, Any]:
    """Return a body, or an empty one where the bytes cannot be read (the chain check names it)."""
    try:
        body = parse(bytes(entry.body))
    except JournalError:
        return {"act": {}, "lots": []}
    whole = isinstance(body.get("act"), dict) and isinstance(body.get("lots"), list)
    return body if whole else {"act": {}, "lots": []}


def pk_value(model: type[models.Model], key: Any) -> Any:
    """Return the database key of a row that the journal names (a dried leaf lot is named by its lot's code)."""
    return Lot.objects.filter(code=key).values_list("pk", flat=True).first() if model is DriedLeafLot else key


def rows_of(model: type[models.Model], keys: list[Any]) -> list[models.Model]:
    """Return rows with the names that they point at (without any, ``select_related`` would follow every pointer there is)."""
    rows = model.objects.filter(pk__in=keys)  # type: ignore[attr-defined]
    names = named_relations(model)
    return list(rows.select_related(*names) if names else rows)


def check_head(leaves: list[bytes]) -> list[str]:
    """Compare the head of the journal with the entries: count and root of the tree, and that no id was given out twice."""
    head = JournalHead.objects.filter(pk=1).first()
    if head is None:
        return ["The head of the journal is missing."] if leaves else []
    faults = []
    if head.size != len(leaves):
        faults.append(f"The head counts {head.size} entries, {len(leaves)} stand.")
    frontier = Frontier.from_bytes(bytes(head.frontier)) if head.size else Frontier()
    if frontier.root() != root(leaves):
        faults.append("The tree's root at the head is not the root of the entries that stand.")
    given = json.loads(head.next_ids)
    for model in (*WRITTEN, LotEntry):
        top = model.objects.aggregate(top=models.Max("pk"))["top"] or 0  # type: ignore[attr-defined]
        if not model._meta.pk.is_relation and top > given.get(model._meta.db_table, 0):
            faults.append(f"{model._meta.db_table}: row {top} has a number that the head never gave out.")
    return faults


def check_private(tell: Tell) -> list[str]:
    """Check that each sealed value that is still kept opens its commitment."""
    faults = []
    whole = PrivateValue.objects.count()
    for done, row in enumerate(PrivateValue.objects.order_by("pk").iterator(), 1):
        if not opens(row.commitment, json.loads(row.value), bytes(row.salt)):
            faults.append(f"Sealed value {row.commitment[:12]} does not open its commitment.")
        if done % CHUNK == 0 or done == whole:
            tell("sealed values", done, whole)
    return faults
