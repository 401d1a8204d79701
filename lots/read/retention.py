"""How long the records of the book are kept, and when the first of each kind may go."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, Max, Min, Q
from django.utils import timezone

from lots.models import (
    Consignment,
    HarvestFlush,
    JournalEntry,
    Lot,
    LotEntry,
    Opening,
    PackedUnit,
    Party,
    PartyContact,
    RetentionRule,
    Staff,
)
from lots.quality.retention import ALL_RECORDS, BEST_BEFORE, KeepingRule, Kept, kept_until
from lots.read.events import badges_of
from lots.read.registers import in_force
from lots.read.walking import down

Records = RetentionRule.Records
#: Which kind of records an act makes, by the first word of its name; all others are work in the mill.
OF_ACT = {
    "shading": Records.FIELD, "treatment": Records.FIELD, "harvest": Records.FIELD, "trimming": Records.FIELD,
    "receiving": Records.GOODS_IN, "opening": Records.GOODS_IN, "hire": Records.GOODS_IN,
    "packing": Records.PACKS, "dispatch": Records.GOING_OUT, "returning": Records.GOING_OUT, "parcels": Records.GOING_OUT,
}


@dataclass(frozen=True, slots=True)
class KindKept:
    """The records of one kind: how many, from when, by which rule they are kept longest, and when the first may go."""

    records: str
    record_count: int
    oldest_on: dt.date
    kept: Kept | None


def rules() -> list[KeepingRule]:
    """Return the rules that stand."""
    return [KeepingRule(r.code, r.records, r.year_count, r.since, r.source) for r in in_force(RetentionRule)]


def records_of(kind: str) -> str:
    """Return which kind of records an entry is, by its act."""
    return str(OF_ACT.get(kind.split(".", 1)[0], Records.MILL))


def entry_kept(seq: int, kind: str, recorded_at: dt.datetime) -> Kept | None:
    """Return until when an entry is kept: by the longest rule, from its own day or that of the packs its leaf is in."""
    standing = rules()
    if not standing:
        return None
    records = records_of(kind)
    wanted = any(rule.since == BEST_BEFORE and rule.records in {records, ALL_RECORDS} for rule in standing)
    best = best_before_of(LotEntry.objects.filter(entry=seq).values_list("lot", flat=True)) if wanted else None
    return kept_until(records, timezone.localtime(recorded_at).date(), best, standing)


def best_before_of(lots: Iterable[int]) -> dt.date | None:
    """Return the latest best-before day of the packs that hold leaf of some lots."""
    steps = Lot.objects.filter(pk__in=list(lots)).values_list("step", flat=True)
    found: dt.date | None = PackedUnit.objects.filter(step__in=down(steps)).aggregate(last=Max("best_before_on"))["last"]
    return found


def latest_best_before() -> dt.date | None:
    """Return the latest best-before day of the book."""
    found: dt.date | None = PackedUnit.objects.aggregate(last=Max("best_before_on"))["last"]
    return found


def kinds_kept() -> list[KindKept]:
    """Return every kind of records that the book has, with its longest rule: a handful of statements."""
    standing, best = rules(), latest_best_before()
    found: dict[str, tuple[int, dt.datetime]] = {}
    for kind, count, oldest in JournalEntry.objects.values_list("kind").annotate(n=Count("seq"), first=Min("recorded_at")).order_by():
        records = records_of(kind)
        known = found.get(records)
        found[records] = (count + (known[0] if known else 0), min(oldest, known[1]) if known else oldest)
    opened = Opening.objects.aggregate(n=Count("pk"), first=Min("first_at"))
    if opened["n"]:
        found[str(Records.OPENINGS)] = (opened["n"], opened["first"])
    return [kind_kept(records, count, oldest, best, standing) for records, (count, oldest) in sorted(found.items())]


def kind_kept(
    records: str, count: int, oldest: dt.datetime, best: dt.date | None, standing: Sequence[KeepingRule]
) -> KindKept:
    """Return one kind of records."""
    day = timezone.localtime(oldest).date()
    return KindKept(records, count, day, kept_until(records, day, best, standing))


def openings_kept(before: dt.datetime) -> Kept | None:
    """Return until when the newest opening that a purge up to a moment would take is kept."""
    newest = Opening.objects.filter(first_at__lt=before).aggregate(last=Max("first_at"))["last"]
    return kept_until(str(Records.OPENINGS), timezone.localtime(newest).date(), None, rules()) if newest else None


def person_kept(table: str, code: str) -> Kept | None:
    """Return until when the name and contacts of a party or of staff are kept: counted from the newest record that names them."""
    newest = newest_of_party(code) if table == "party" else newest_of_staff(code)
    if newest is None:
        return None
    return kept_until(str(Records.PERSONS), timezone.localtime(newest).date(), latest_best_before(), rules())


def newest_of_party(code: str) -> dt.datetime | None:
    """Return when a party was last written of: itself, its contacts, what went to it, leaf of its plots."""
    found = [
        Party.objects.filter(code=code).aggregate(at=Max("entry__recorded_at")),
        PartyContact.objects.filter(party__code=code).aggregate(at=Max("entry__recorded_at")),
        Consignment.objects.filter(consignee__code=code).aggregate(at=Max("step__entry__recorded_at")),
        HarvestFlush.objects.filter(plot__grower__code=code).aggregate(at=Max("step__entry__recorded_at")),
    ]
    return max((row["at"] for row in found if row["at"]), default=None)


def newest_of_staff(code: str) -> dt.datetime | None:
    """Return when a badge last wrote, or was last written of."""
    own = Staff.objects.filter(code=code).aggregate(at=Max("entry__recorded_at"))["at"]
    by = [seq for seq, badge in badges_of(JournalEntry.objects.values_list("pk", flat=True)).items() if badge == code]
    last = JournalEntry.objects.filter(pk=max(by)).values_list("recorded_at", flat=True).first() if by else None
    return max((at for at in (own, last) if at), default=None)


def value_kept(commitment: str, named_at: dt.datetime) -> Kept | None:
    """Return until when one value about a person is kept. What names a party of the book is kept as long as the party's records;
    what names a buyer of single packs (``named_at``) only as long as a rule for persons says, because nobody traces to them."""
    parties = set(Party.objects.filter(Q(name=commitment) | Q(contact=commitment)).values_list("code", flat=True))
    named = Q(person=commitment) | Q(contact=commitment) | Q(address=commitment)
    parties |= set(PartyContact.objects.filter(named).values_list("party__code", flat=True))
    if parties:
        found = [kept for code in sorted(parties) if (kept := person_kept("party", code)) is not None]
        return max(found, key=lambda kept: kept.until_on, default=None)
    persons = [rule for rule in rules() if rule.records == Records.PERSONS]
    return kept_until(str(Records.PERSONS), timezone.localtime(named_at).date(), None, persons)
