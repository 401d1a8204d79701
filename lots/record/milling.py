"""Stones: one stone pair in one job is one run. Loads, tubs, and the close with the left-over that a hand must type."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.utils.translation import gettext as _

from lots.models import Flow, Hold, Lot, MillingClose, MillingRun, MillingTub, StonePair
from lots.read.closing import weighings
from lots.read.grit import is_fresh
from lots.read.milling import dressed_h, open_run, run_flows, standing_runs
from lots.read.rows import linked
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.judging import judge
from lots.record.lines import Lines, Moisture, Weight, find_lot, taken_over
from lots.record.words import kg
from lots.record.writing import Writing

LAST_LOAD = """
JOIN lot ON lot.id = flow.lot_id WHERE flow.kind = 'in' AND flow.step_id IN (
  SELECT s.id FROM step s WHERE (s.id = %s OR s.continues_id = %s)
  AND NOT EXISTS (SELECT 1 FROM step b WHERE b.corrects_id = s.id AND b.part = 'reverse')
) ORDER BY flow.id DESC
"""
RATE_LEAST_G_PER_H, RATE_MOST_G_PER_H = 10, 120


@act("milling.load")
def load(
    w: Writing,
    *,
    pair: str,
    lot: str,
    charge: Weight,
    job: str = "",
    empties: bool = False,
    happened_at: dt.datetime | None = None,
) -> None:
    """Charge a hopper: opens a run when the pair stands idle, else tops up the open run.

    ``empties`` says that nothing of the lot is left on the shelf: what the book then misses or has too much is booked.
    """
    stones = w.in_force(StonePair, pair, "stone pairs", "pair")
    leaf = find_lot(lot)
    run = open_run(pair)
    if run is not None:
        refuse_other_job(run, job, pair)
        ask_about_other_lot(w, run, leaf, pair)
    step = w.step("milling", "load", happened_at, equipment=stones.equipment, continues=run.step if run else None)
    Lines(w, step).draw(leaf, charge, "charge", empties=empties)
    if run is None:
        w.add(MillingRun(step=step, pair=stones, job=job))


@act("milling.tub")
def tub(
    w: Writing,
    *,
    pair: str,
    powder: Weight,
    ground_h: Decimal,
    moisture: Moisture | None = None,
    warm_up: bool = False,
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
) -> None:
    """Take a tub off the stones: opens a lot of powder that can hold whatever was loaded before. ``warm_up``: cheap leaf that
    only warmed the stones; its powder is a material of its own and goes into no pack by itself."""
    run = running(w, pair, open_run(pair))
    ground_h = ground_h.quantize(Decimal("0.01"))
    if ground_h <= 0:
        raise Refused(_("How many hours did the stones run for this tub? More than none."), "ground_h")
    ask_about_rate(w, powder.mass_mg, ground_h)
    step = w.step("milling", "tub", happened_at, equipment=run.pair.equipment, continues=run.step)
    lot = Lines(w, step).open("warm_up_powder" if warm_up else "tub_powder", powder, moisture, maker_ref)
    before_h = dressed_h(run.pair)
    w.add(MillingTub(step=step, ground_h=ground_h, dressed_h=before_h + ground_h))
    if is_fresh(run.pair, before_h):
        stop_for_grit(w, lot, pair)


def stop_for_grit(w: Writing, lot: Lot, pair: str) -> None:
    """Stop the first tub after a dressing until somebody looked for grit."""
    reason = _("First tub of pair %(pair)s after its stones were apart: stopped until its grit check is clean.") % {"pair": pair}
    w.add(Hold(lot=lot, kind=Hold.Kind.HOLD, happened_at=w.happened_at, reason=reason))


@act("milling.close")
def close(
    w: Writing,
    *,
    pair: str,
    left_over: Weight,
    job: str = "",
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
) -> None:
    """End a run. The left-over in the hopper is weighed and typed, 0 included; what is there becomes a lot of its own.

    ``job`` names an earlier run whose close was taken back, while the pair runs the next job already.
    """
    run = running(w, pair, not_closed(pair, job))
    if left_over.mass_mg < 0:
        raise Refused(_("The left-over cannot be below nothing."), "left_over_mg")
    step = w.step("milling", "close", happened_at, equipment=run.pair.equipment, continues=run.step)
    if left_over.mass_mg:
        Lines(w, step).open("left_over", left_over, taken_over(last_load(run)), maker_ref)
    w.add(MillingClose(step=step, left_over_mg=left_over.mass_mg))
    judge(w, "milling", weighings([*run_flows([run.pk]), *w.rows_of(Flow)]))


def not_closed(pair: str, job: str) -> MillingRun | None:
    """Return the newest run of a pair that has no close, of one job where it is named."""
    rows = standing_runs().filter(pair__code=pair, closed=False, **({"job": job} if job else {}))
    found: MillingRun | None = rows.order_by("-pk").first()
    return found


def running(w: Writing, pair: str, run: MillingRun | None) -> MillingRun:
    """Return a run that goes on, or refuse."""
    if run is None:
        w.in_force(StonePair, pair, "stone pairs", "pair")
        msg = _("Pair %(pair)s stands idle: no run is open on it. Charge its hopper first, or scan the other pair.")
        raise Refused(msg % {"pair": pair}, "pair")
    return run


def refuse_other_job(run: MillingRun, job: str, pair: str) -> None:
    """A pair runs one job at a time."""
    if job and job != run.job:
        msg = _("Pair %(pair)s is still running job %(job)s. Close that run with its left-over first.")
        raise Refused(msg % {"pair": pair, "job": run.job or _("without a name")}, "job")


def ask_about_other_lot(w: Writing, run: MillingRun, leaf: Lot, pair: str) -> None:
    """Ask when another lot is poured on top of what is in the hopper."""
    loaded = last_load(run).lot
    if loaded is not None and loaded.pk != leaf.pk and loaded.step_id != leaf.step_id:
        msg = _(
            "Pair %(pair)s is loaded with %(loaded)s and this is %(leaf)s: every tub from now on would hold both. "
            "Close the run with its left-over first, or say why they may be mixed."
        )
        w.question(msg % {"pair": pair, "loaded": loaded, "leaf": leaf}, "lot")


def ask_about_rate(w: Writing, mass_mg: int, ground_h: Decimal) -> None:
    """Ask about a rate that no stone pair has: a typing fault, not a judgement of the stone (common practice, no source)."""
    rate = mass_mg / 1000 / float(ground_h)
    if not RATE_LEAST_G_PER_H <= rate <= RATE_MOST_G_PER_H:
        msg = _("%(mass)s kg in %(hours)s hours is %(rate)s g an hour. Look at the scale and the clock again.")
        w.question(msg % {"mass": kg(mass_mg), "hours": ground_h, "rate": f"{rate:.0f}"}, "tub_mg")


def last_load(run: MillingRun) -> Flow:
    """Return the newest load of a run."""
    found = linked((Flow, Lot), LAST_LOAD, [run.pk, run.pk])
    if found is None:
        raise Refused(_("This run has no load. Run the check of the whole book."))
    flow, flow.lot = found[0], found[1]
    return flow  # type: ignore[no-any-return]
