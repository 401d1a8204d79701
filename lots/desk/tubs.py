"""Take a tub off: one number, and the rate at which the pair ground it."""

from __future__ import annotations

import datetime as dt
import uuid
from decimal import Decimal
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.desk.forms.milling import TubForm
from lots.desk.forms.weighing import wet
from lots.desk.live import typed_mass, wet_frac
from lots.desk.milling import PairView
from lots.desk.pairs import dressed_words, usual_words, when_words
from lots.desk.recorded import Line, step_line
from lots.desk.scanned import code_in
from lots.desk.weighed import hint_masses
from lots.desk.words import decimals, joined, language, mass, printed
from lots.models import Flow, MillingTub, StonePair
from lots.read.grinding import ground_since, sample_of_job
from lots.read.milling import open_run
from lots.read.persons import badge_of
from lots.read.recent import Recent, last_time, recent
from lots.read.stones import PairNow
from lots.read.typing import whole_lots
from lots.record import milling
from lots.record.acts import Act, Receipt
from lots.record.errors import Refused
from lots.record.lines import Moisture
from lots.trade.materials import GROUND
from lots.trade.units import moisture_text
from lots.trade.weighing import Side

HUNDREDTH_H = Decimal("0.01")


class TubView(PairView):
    """Take a tub off a pair of stones."""

    form_class = TubForm
    template_name = "desk/milling_tub.html"
    page = "milling-tub"

    def dress(self, form: TubForm) -> None:
        """Show what the pair gave last time; any pair's last tub while none is scanned."""
        pair = form.data.get("pair") or form.initial.get("pair")
        of_pair = {"equipment__pairs__code__iexact": pair} if pair else {}
        hint_masses(form, last_time("milling", "tub", **of_pair), {"tub_mg": "tub_powder"})

    def write(self, act: Act, form: TubForm) -> Receipt:
        """Take the tub off."""
        facts = form.cleaned_data
        pair = code_in(StonePair, facts["pair"])
        return milling.tub(
            act, pair=pair, powder=form.net, ground_h=facts["ground_h"] or self.by_the_clock(pair, facts["happened_at"], act.id),
            moisture=wet(facts["moisture"]) or self.of_the_job(pair, act.id), happened_at=facts["happened_at"],
            warm_up=facts["warm_up"] == "yes", maker_ref=facts["maker_ref"],
        )

    def by_the_clock(self, pair: str, at: dt.datetime, act_id: uuid.UUID) -> Decimal:
        """Return the hours since the stones began on this tub."""
        hours = hours_by_the_clock(pair, at, act_id)
        if hours is None and open_run(pair) is None:
            return Decimal(0)  # The recorder says that the pair stands idle.
        if hours is None:
            raise Refused(_("The clock knows of no charge before that. Type how many hours the stones ran."), "ground_h")
        return hours

    def of_the_job(self, pair: str, act_id: uuid.UUID) -> Moisture | None:
        """Return the job's own sample, if one of its tubs was measured."""
        tub = sample_of_job(pair, act_id)
        return Moisture(of=tub.code) if tub else None

    def said(self, receipt: Receipt, form: TubForm) -> str:
        """Return the read-back: net, pair, tub."""
        places = form.scales[form.net.scale].decimals_count if form.net.scale in form.scales else None
        return _("%(mass)s off pair %(pair)s: tub %(lot)s.") % {
            "mass": mass(form.net.mass_mg, places), "pair": code_in(StonePair, form.cleaned_data["pair"]), "lot": printed(receipt.lots[0]),
        }

    def more(self, receipt: Receipt, form: TubForm) -> str:
        """Return gross and tare, the rate, where the moisture comes from, and whose hand it was."""
        ground_h = float(MillingTub.objects.values_list("ground_h", flat=True).get(pk=receipt.step))
        rate = _("%(rate)s g/h over %(hours)s hours.") % {
            "rate": decimals(form.net.mass_mg / 1000 / ground_h), "hours": decimals(ground_h),
        }
        badge = _("Badge %(badge)s.") % {"badge": badge_of(self.request.user.get_username())}
        said = (gross_words(form), rate, moisture_words(Flow.objects.get(step=receipt.step)), badge)
        return joined(said)

    def so_far(self, form: TubForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which run it is, how it adds up with this tub, and the rate."""
        pair = self.pair_of(facts)
        reads = {"pair": self.pair_read(facts, pair)}
        if pair is None or pair.run is None:
            return {"reads": reads}
        net_mg = max(0, (facts.get("tub_mg") or 0) - (facts.get("tare_mg") or 0))
        sample = sample_of_job(pair.code)
        like = next(iter(whole_lots([sample])), None) if sample else None
        typed = typed_mass(
            form, {**facts, "tub_mg": net_mg}, "tub_mg", Side.OUT, "tub_powder", moisture_frac=wet_frac(facts, "moisture"), like=like,
        )
        return {"reads": reads, "rate": rate_words(pair, net_mg, facts), **self.run_balance(pair, typed)}

    def context(self) -> dict[str, Any]:
        """Return the tubs that were just taken off."""
        steps = recent("milling", ("tub",))
        hours = dict(MillingTub.objects.filter(pk__in=[s.step for s in steps]).values_list("pk", "ground_h"))
        return {"recorded": [tub_line(step, hours[step.step]) for step in steps]}


def hours_by_the_clock(pair: str, at: dt.datetime, act_id: uuid.UUID | None = None) -> Decimal | None:
    """Return the hours from the charge (or the last tub) to a moment, None where nothing lies before it."""
    since = ground_since(pair, at, act_id)
    hours = Decimal((at - since).total_seconds()) / 3600 if since else Decimal(0)
    return hours.quantize(HUNDREDTH_H) if hours >= HUNDREDTH_H else None


def rate_words(pair: PairNow, net_mg: int, facts: dict[str, Any]) -> str:
    """Return the rate of a tub against the pair's own band."""
    at = facts.get("happened_at") or timezone.now()
    hours = facts.get("ground_h") or hours_by_the_clock(pair.code, at)
    if not hours:
        return ""
    clock = "" if facts.get("ground_h") or not pair.run else _(" by the clock, since %(when)s") % {"when": when_words(pair.run.since_at)}
    said = [_("%(hours)s hours%(clock)s.") % {"hours": decimals(float(hours)), "clock": clock}]
    if net_mg:
        rate = decimals(net_mg / 1000 / float(hours))
        said = [_("%(rate)s g per hour over %(hours)s hours%(clock)s.") % {"rate": rate, "hours": decimals(float(hours)), "clock": clock}]
    usual = usual_words(pair)
    if usual:
        said.append(_("Pair %(number)s usually gives %(band)s.") % {"number": pair.number, "band": usual})
    return joined([*said, dressed_words(pair)])


def gross_words(form: TubForm) -> str:
    """Return gross and tare, where the scale was not set to zero with the empty tub."""
    if not form.cleaned_data.get("tare_mg"):
        return ""
    return _("Gross %(gross)s, tare %(tare)s.") % {"gross": form.said("tub_mg"), "tare": form.said("tare_mg")}


def moisture_words(line: Flow) -> str:
    """Return a moisture and where it comes from."""
    if line.moisture_frac is None:
        return _("Moisture not measured yet in this job.")
    how = {
        Flow.How.MEASURED: _("measured on this tub"), Flow.How.TAKEN_OVER: _("measured on another tub of the job"),
        Flow.How.ASSUMED: _("assumed"),
    }[Flow.How(line.moisture_how)]
    return _("%(moisture)s, %(how)s.") % {"moisture": moisture_text(float(line.moisture_frac), 1, language()), "how": how}


def tub_line(step: Recent, ground_h: Decimal) -> Line:
    """Return a tub that was taken off as an entry."""
    mass_mg = sum(step.mass_mg(role) or 0 for role in GROUND)
    what = _("%(pair)s, %(mass)s.") % {"pair": step.machine, "mass": mass(mass_mg, step.lines[0].decimals_count)}
    rate = _("%(rate)s g/h, tub %(lot)s.") % {"rate": decimals(mass_mg / 1000 / float(ground_h)), "lot": step.lines[0].lot}
    return step_line(step, what, rate)
