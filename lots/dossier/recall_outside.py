"""What a recall reaches beyond the book's own packs: packs sold before it began, and lots that went to others in bulk."""

from __future__ import annotations

from django.utils.translation import gettext as _

from lots.codes.lots import parse_lot_code
from lots.dossier import words
from lots.models import Lot
from lots.read.outside import gone_in_bulk, outsides
from lots.read.recalling import RecallAnswer


def outside_points(answer: RecallAnswer) -> list[str]:
    """Return who besides the consignees has tea of a recall."""
    codes = [one.lot.code for one in answer.lots if parse_lot_code(one.lot.code)]
    steps = set(Lot.objects.filter(code__in=codes).values_list("step_id", flat=True))
    points = []
    for one in outsides(steps):
        if one.sold_count:
            msg = _("Before the book began, %(count)d packs of %(lot)s were sold to %(who)s: call them too (paper %(paper)s).")
            who = one.sold_to or _("a name that was erased")
            points.append(msg % {"count": one.sold_count, "lot": one.lot.name, "who": who, "paper": one.paper})
    for gone in (one for one in gone_in_bulk(codes) if one.is_there):
        msg = _("%(mass)s of %(lot)s went to %(who)s in bulk (paper %(paper)s): call them too.")
        points.append(msg % {"mass": words.mass(gone.mass_mg), "lot": gone.lot.name, "who": gone.party, "paper": gone.paper})
    return points
