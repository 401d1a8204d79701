"""A person is forgotten: values are erased with their salts, the commitments stay, and every proof holds as before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import ActKey, Erasure, PrivateValue
from lots.quality.retention import Kept
from lots.read.retention import value_kept
from lots.read.sealed import standing_of
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.writing import Writing


@act("persons.forget")
def forget(w: Writing, *, commitments: Sequence[str], why: str, happened_at: dt.datetime | None = None) -> None:
    """Erase values about one person. That it was done stays in the book; what they were does not."""
    w.at(happened_at)
    if not commitments:
        raise Refused(_("Nothing was found that could be forgotten. Type another word of it."), "values")
    if not why.strip():
        raise Refused(_("Say why: who asked for it, and when."), "why")
    here = set(PrivateValue.objects.filter(pk__in=list(commitments)).values_list("pk", flat=True))
    where = standing_of(commitments)
    for commitment in dict.fromkeys(commitments):
        if commitment not in here or not where[commitment]:
            raise Refused(_("One of these values is not in the book any more. Look for the person again."), "values")
        refuse_kept(value_kept(commitment, max(one.at for one in where[commitment])))
        w.add(Erasure(commitment=commitment, why=why.strip()))
    PrivateValue.objects.filter(pk__in=here).delete()
    # What an act asked can be tried out against its digest: without it the old act can only be refused, never repeated.
    ActKey.objects.filter(seq__in={one.entry for rows in where.values() for one in rows}).update(fingerprint="")


def refuse_kept(kept: Kept | None) -> None:
    """Refuse to erase what a retention rule keeps, and name the day."""
    if kept is not None and kept.until_on > timezone.localdate():
        msg = _("This must be kept until %(day)s, by rule %(rule)s (%(source)s). It can be forgotten after that day.")
        raise Refused(msg % {"day": kept.until_on, "rule": kept.rule.code, "source": kept.rule.source}, "values")
