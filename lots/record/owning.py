"""Whose goods a lot is: what is made of somebody's leaf stays theirs, and goes to nobody else."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _

from lots.models import Flow, Lot, PackedUnit, Party, Step
from lots.read.rows import values
from lots.record.errors import Refused
from lots.record.writing import Writing

# One materialised part after another: a planner that takes the tables for empty would else walk lots times flows times steps.
IN_RUN = """
WITH steps AS MATERIALIZED (SELECT id FROM step WHERE id = %s UNION SELECT id FROM step WHERE continues_id = %s),
drawn AS MATERIALIZED (SELECT DISTINCT f.lot_id FROM flow f JOIN steps ON steps.id = f.step_id WHERE f.kind = 'in')
SELECT DISTINCT l.owner_id FROM drawn JOIN lot l ON l.id = drawn.lot_id
"""


def hand_on_owner(w: Writing) -> None:
    """Give the lots that an act opened the owner of what went in; leaf of several owners in one is asked about."""
    new = [lot for lot in w.rows_of(Lot) if lot.owner_id is None]
    drawn = [flow.lot for flow in w.rows_of(Flow) if flow.kind == Flow.Kind.IN and flow.lot is not None]
    owners = {lot.owner_id for lot in drawn}
    for step in w.rows_of(Step):
        if new and step.continues_id:
            owners |= {owner for (owner,) in values(IN_RUN, [step.continues_id, step.continues_id])}
    if not any(owners):
        return
    parties = sorted(Party.objects.filter(pk__in=[one for one in owners if one]), key=lambda party: (party.code, party.version))
    codes = list(dict.fromkeys(party.code for party in parties))
    if len(codes) > 1 or None in owners:
        msg = _("Goods of %(owners)s go together here. Keep them apart, or say who agreed.")
        named = [*([_("the house")] if None in owners else []), *codes]
        w.question(msg % {"owners": _(" and ").join(named)}, "lot")
    for lot in new:
        lot.owner = parties[-1]


def refuse_goods_of_others(units: Iterable[PackedUnit], party: Party) -> None:
    """Refuse to send packs that belong to somebody to anybody else."""
    for unit in units:
        owner = unit.lot.owner
        if owner is not None and owner.code != party.code:
            msg = _("Lot %(lot)s belongs to %(owner)s and cannot go to %(party)s.")
            raise Refused(msg % {"lot": unit.lot, "owner": owner.code, "party": party.code}, "packs")
