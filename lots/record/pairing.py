"""Stones swapped out of their pairs: an upper and a lower that both ran, but never together, are asked about."""

from __future__ import annotations

from django.db.models import Q
from django.utils.translation import gettext as _

from lots.models import StonePair
from lots.record.writing import Writing


def ask_about_pairing(w: Writing, upper: str, lower: str) -> None:
    """Ask about a pair of stones that never ran together, though both ran with others."""
    if not (upper and lower):
        return
    known = set(StonePair.objects.filter(Q(upper=upper) | Q(lower=lower)).values_list("upper", "lower"))
    both_ran = any(one == upper for one, _other in known) and any(other == lower for _one, other in known)
    if both_ran and (upper, lower) not in known:
        msg = _("Upper stone %(upper)s and lower stone %(lower)s never ran together; each ran with another. Look at both numbers again.")
        w.question(msg % {"upper": upper, "lower": lower}, "upper")
