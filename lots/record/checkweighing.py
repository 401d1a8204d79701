"""Check-weighing: packs of a series one by one against a named plan; what is not accepted is stopped in the same act."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils.translation import gettext as _

from lots.models import CheckedPack, CheckWeighing, Hold, PackedUnit, Scale
from lots.quality.net_content import PLANS, NetContent, judge, plan_for
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.series import find_series
from lots.record.words import language
from lots.record.writing import Writing
from lots.trade import language as trade
from lots.trade.units import g_text

#: So much off the label no filling is: the pack, the tare or the figure is another one. Common practice, no source.
ODD_PART = 2
REASON_SIGNS_MAX = 400


@act("checkweighing.series")
def weigh(
    w: Writing,
    *,
    lot: str,
    readings_mg: Sequence[int],
    tare_mg: int = 0,
    plan: str = "",
    scale: str = "",
    happened_at: dt.datetime | None = None,
) -> None:
    """Record packs of one series weighed one by one: readings gross of a common tare, or net where the tare is 0.

    Without a plan the one for so many packs judges.
    """
    unit = find_series(lot)
    if not readings_mg:
        raise Refused(_("No weight was typed. Weigh the packs one after another."), "readings_mg")
    if tare_mg < 0:
        raise Refused(_("The empty pack cannot weigh less than nothing."), "tare_mg")
    contents_mg = [reading_mg - tare_mg for reading_mg in readings_mg]
    result = judged(unit, plan, contents_mg)
    ask_about_odd(w, unit, contents_mg)
    step = w.step("checkweighing", "series", happened_at)
    w.touch(unit.lot)
    w.add(CheckWeighing(
        step=step, unit=unit, plan=result.plan, nominal_mg=result.nominal_mg, tare_mg=tare_mg,
        scale=w.in_force(Scale, scale, "scales", "scale") if scale else None, weighed_count=result.weighed_count,
        mean_mg=round(result.mean_mg), deficiency_mg=result.deficiency_mg, t1_count=result.t1_count, t2_count=result.t2_count,
        accepted=result.accepted,
    ))
    for content_mg in contents_mg:
        w.add(CheckedPack(step=step, content_mg=content_mg))
    if result.accepted is False:
        stop_series(w, unit, result)


def judged(unit: PackedUnit, plan: str, contents_mg: Sequence[int]) -> NetContent:
    """Return the judgement of a series by a plan; refuse what cannot be judged at all."""
    name = plan or plan_for(unit.pack_count)
    if name not in PLANS:
        raise Refused(_("There is no plan called %(plan)s.") % {"plan": name}, "plan")
    if len(contents_mg) > unit.pack_count:
        msg = _("%(weighed)s weights were typed, and the series holds %(packs)s packs. Look at the list again.")
        raise Refused(msg % {"weighed": len(contents_mg), "packs": unit.pack_count}, "readings_mg")
    try:
        return judge(plan=name, nominal_mg=unit.product.net_mg, contents_mg=contents_mg, lot_size=unit.pack_count)
    except trade.Refused as fault:
        raise Refused(fault.text(language()), "readings_mg") from fault


def ask_about_odd(w: Writing, unit: PackedUnit, contents_mg: Sequence[int]) -> None:
    """Ask about a weight that is no filling of this product."""
    net_mg = unit.product.net_mg
    odd = next((c for c in contents_mg if not net_mg / ODD_PART <= c <= net_mg * ODD_PART), None)
    if odd is not None:
        msg = _("A pack of %(net)s that holds %(content)s: was the tare taken off, and is it this series? Look at the list again.")
        w.question(msg % {"net": g_text(net_mg, 0, language()), "content": g_text(odd, 1, language())}, "readings_mg")


def stop_series(w: Writing, unit: PackedUnit, result: NetContent) -> None:
    """Stop a series that the plan does not accept, with the plan's own reason."""
    why = " ".join(reason.text(language()) for reason in result.reasons)
    words = {"count": result.weighed_count, "plan": result.plan, "why": why}
    reason = _("Check-weighing of %(count)s packs, plan %(plan)s: not accepted. %(why)s") % words
    w.add(Hold(lot=unit.lot, kind=Hold.Kind.HOLD, happened_at=w.happened_at, reason=reason[:REASON_SIGNS_MAX]))
