"""Check weights on scales: within the permissible error or beyond it. Beyond, every weighing since the last good check is questioned
until somebody says with a reason that they stand."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.balance.scales import permissible_error_mg
from lots.models import CheckWeight, Scale, ScaleCheck, ScaleClear
from lots.read.closing import scale_data
from lots.read.scale_check import check_of, is_cleared
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.words import kg, language
from lots.record.writing import Writing
from lots.trade import language as trade

#: So far off another weight was laid on, or the figure is mistyped. Common practice, no source.
ODD_FRAC = 0.2


@act("scale_check.check")
def check(w: Writing, *, scale: str, weight: str, shown_mg: int, happened_at: dt.datetime | None = None) -> None:
    """Record what a scale showed under a check weight. It is judged by the permissible error at verification, because the
    balances reckon with that error."""
    plate = w.in_force(Scale, scale, "scales", "scale")
    laid = w.in_force(CheckWeight, weight, "check weights", "weight")
    allowed_mg = allowed(plate, laid)
    ask_about_weight(w, laid, shown_mg)
    step = w.step("scale_check", "check", happened_at)
    within = abs(shown_mg - laid.nominal_mg) <= allowed_mg
    w.add(ScaleCheck(step=step, scale=plate, weight=laid, shown_mg=shown_mg, allowed_mg=allowed_mg, within=within))


def allowed(scale: Scale, weight: CheckWeight) -> int:
    """Return the permissible error of a scale under a weight (OIML R 76), or refuse a weight that it cannot carry."""
    data = scale_data(scale)
    assert data is not None
    try:
        return int(permissible_error_mg(weight.nominal_mg, data))
    except trade.Refused as fault:
        raise Refused(fault.text(language()), "weight") from fault
    except KeyError as fault:
        msg = _("Scale %(scale)s has the accuracy class %(class)s in the register, which has no limits. Look at its plate.")
        raise Refused(msg % {"scale": scale.code, "class": scale.accuracy_class}, "scale") from fault


def ask_about_weight(w: Writing, weight: CheckWeight, shown_mg: int) -> None:
    """Ask about a certificate that ran out, and about a figure that is no reading of this weight."""
    day = timezone.localtime(w.happened_at).date()
    if weight.valid_until_on is not None and weight.valid_until_on < day:
        msg = _("The certificate of check weight %(weight)s was valid until %(day)s. Take another weight, or say why it may be trusted.")
        w.question(msg % {"weight": weight.code, "day": weight.valid_until_on}, "weight")
    if abs(shown_mg - weight.nominal_mg) > ODD_FRAC * weight.nominal_mg:
        msg = _("Check weight %(weight)s is %(nominal)s kg and %(shown)s kg was typed. Look at the weight and the figure again.")
        w.question(msg % {"weight": weight.code, "nominal": kg(weight.nominal_mg), "shown": kg(shown_mg)}, "shown_mg")


@act("scale_check.clear")
def clear(w: Writing, *, check: int, ground: str, happened_at: dt.datetime | None = None) -> None:
    """Say that the weighings which a failed check questions stand, and why."""
    failed = check_of(check)
    if failed is None or failed.within:
        raise Refused(_("There is no failed check of a scale with the number %(number)s.") % {"number": check}, "check")
    if is_cleared(failed):
        raise Refused(_("The weighings of this check were cleared before."), "check")
    if not ground.strip():
        msg = _("Say why the weighings on scale %(scale)s stand: weighed again, or too little to matter.")
        raise Refused(msg % {"scale": failed.scale.code}, "ground")
    step = w.step("scale_check", "clear", happened_at)
    w.add(ScaleClear(step=step, failed=failed.step, ground=ground.strip()))
