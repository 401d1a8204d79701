"""Erasing what may be erased: names and contacts of a person, keys of acts. Nothing goes before the longest rule lets it."""

from __future__ import annotations

import datetime as dt

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from lots.models import ActKey, JournalEntry, Party, PartyContact, PrivateValue, RetentionRule, Staff
from lots.models.fields import SealedField
from lots.quality.retention import kept_until, refuse_early
from lots.read.retention import person_kept, rules

TABLES = {"party": Party, "staff": Staff}


def erase_person(table: str, code: str, today: dt.date) -> int:
    """Erase the sealed values of a party (with its contacts) or of staff; return how many. Proofs stay whole: the commitments
    are still there. Raises KeptLonger before the day on which they may go."""
    refuse_early(person_kept(table, code), today)
    seals = sealed_of(TABLES[table], code=code)
    if table == "party":
        seals |= sealed_of(PartyContact, party__code=code)
    with transaction.atomic():
        return PrivateValue.objects.filter(pk__in=seals).delete()[0]


def sealed_of(model: type[Party | Staff | PartyContact], **asked: str) -> set[str]:
    """Return the commitments in some rows of a register."""
    names = [f.name for f in model._meta.concrete_fields if isinstance(f, SealedField)]
    return {seal for row in model.objects.filter(**asked).values_list(*names) for seal in row if seal}


def erase_act_keys(before: dt.datetime, today: dt.date) -> int:
    """Erase the keys of acts that were written before a moment (an act that is sent again after that is new); return how many."""
    seqs = JournalEntry.objects.filter(recorded_at__lt=before)
    newest = seqs.aggregate(last=Max("recorded_at"))["last"]
    if newest is None:
        return 0
    refuse_early(kept_until(str(RetentionRule.Records.PERSONS), timezone.localtime(newest).date(), None, rules()), today)
    return ActKey.objects.filter(seq__in=seqs.values("seq")).delete()[0]
