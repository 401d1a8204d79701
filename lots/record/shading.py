"""Shading: a cover laid over a plot before plucking."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import FieldPlot, Shading
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.writing import Writing


@act("shading.cover")
def cover(
    w: Writing,
    *,
    plot: str,
    flush_no: int,
    covered_on: dt.date,
    uncovered_on: dt.date | None = None,
    layer_count: int = 1,
    rate_frac: Decimal | None = None,
    kind: str = "",
    material: str = "",
    leaf_stage: str = "",
    happened_at: dt.datetime | None = None,
) -> None:
    """Record that a plot was covered, and until when if that is known."""
    if uncovered_on and uncovered_on < covered_on:
        msg = _("The cover came off on %(off)s, before it went on (%(on)s). Look at both dates.")
        raise Refused(msg % {"off": uncovered_on, "on": covered_on}, "uncovered_on")
    step = w.step("shading", "cover", happened_at)
    if covered_on > timezone.localtime(step.happened_at).date():
        msg = _("%(day)s has not come yet. Type the day on which the cover went on.")
        raise Refused(msg % {"day": covered_on}, "covered_on")
    w.add(Shading(
        step=step, plot=w.in_force(FieldPlot, plot, "plots", "plot"), flush_no=flush_no, covered_on=covered_on,
        uncovered_on=uncovered_on, layer_count=layer_count, rate_frac=rate_frac, cover=kind,
        material=material.strip(), leaf_stage=leaf_stage.strip(),
    ))
