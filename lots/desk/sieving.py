"""Sieve: one pass of whole tubs through a screen."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Sequence
from types import MappingProxyType
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.forms.many import ScannedLine
from lots.desk.forms.plain import Answers
from lots.desk.forms.sieving import SievingForm
from lots.desk.forms.weighing import wet
from lots.desk.live import live_balance, typed_mass, wet_frac
from lots.desk.recorded import Line, ready, recorded
from lots.desk.scanned import lot_code, lot_of
from lots.desk.weighed import FINE, MIDDLE, WeighedView, hint_masses
from lots.desk.words import mass, printed
from lots.models import Lot, Screen, SievePass
from lots.read.grinding import tubs_of_job
from lots.read.names import lot_name
from lots.read.recent import last_time, recent
from lots.read.registers import in_force
from lots.read.typing import one_sample, whole_lots
from lots.read.waiting import Waiting, waiting
from lots.record import sieving
from lots.record.acts import Act, Receipt
from lots.record.errors import Refused
from lots.trade.weighing import Side, Weighing

TUBS_MOST = 500


class SievingView(WeighedView):
    """A sieve pass."""

    form_class = SievingForm
    template_name = "desk/sieving.html"
    page = "sieving"
    door = "today"
    links = ("job",)
    line_of = MappingProxyType({"lot": "lots", "losses": "lost_as"})
    usual_scale = {"scale": MIDDLE, "small_scale": FINE}

    def options(self) -> dict[str, Any]:
        """Return scales and screens."""
        known = [(row.code, _("%(code)s, %(width)d µm") % {"code": row.code, "width": row.aperture_um}) for row in in_force(Screen)]
        only = known[0][0] if len(known) == 1 else ""
        return {**super().options(), "screen": Answers(known, only or self.station.kept("sieving.screen"))}

    def dress(self, form: SievingForm) -> None:
        """Show the last pass beside the fields."""
        hint_masses(form, last_time("sieving", "pass"), {"through_mg": "sieved_powder", "oversize_mg": "oversize"})

    def write(self, act: Act, form: SievingForm) -> Receipt:
        """Write the pass down."""
        facts = form.cleaned_data
        return sieving.sieve(
            act, lots=self.tubs(facts, act.id), screen=facts.get("screen") or "", through=form.weight("through_mg"),
            oversize=form.weight("oversize_mg", "small_scale"), oversize_fate=facts["oversize_fate"] or SievePass.Fate.OPEN.value,
            moisture=wet(facts["moisture"]), losses=form.losses, happened_at=facts["happened_at"], maker_ref=facts["maker_ref"],
        )

    def tubs(self, facts: dict[str, Any], act_id: uuid.UUID) -> list[str]:
        """Return the codes of the tubs, those of the job after those that were scanned."""
        codes = [code for line in facts["lots"] or () for code in tub_codes(line, act_id)]
        if not facts["job"]:
            return codes
        of_job = [tub.code for tub in tubs_of_job(facts["job"], act_id)]
        if not of_job:
            raise Refused(_("Job %(job)s has no tub that is not sieved yet.") % {"job": facts["job"]}, "job")
        return list(dict.fromkeys([*codes, *of_job]))

    def remember(self, form: SievingForm) -> None:
        """Keep the screen as well."""
        super().remember(form)
        self.station.remember("sieving.screen", form.cleaned_data.get("screen") or "")

    def said(self, receipt: Receipt, form: SievingForm) -> str:
        """Return the read-back of the pass."""
        return _("%(through)s through the screen, %(oversize)s oversize: lot %(lot)s.") % {
            "through": form.said("through_mg"), "oversize": form.said("oversize_mg"), "lot": printed(receipt.lots[0]),
        }

    def so_far(self, form: SievingForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say how many tubs there are, and how the pass adds up."""
        lots, unknown = scanned_tubs(facts.get("lots") or ())
        of_job = tubs_of_job(facts["job"]) if facts.get("job") else []
        fed = whole_lots({lot.pk: lot for lot in [*lots, *of_job]}.values())
        reads = {"lots": tubs_words(lots, unknown), "job": job_words(facts, of_job)}
        typed_wet = {"moisture_frac": wet_frac(facts, "moisture"), "like": one_sample(fed)}
        typed = [
            typed_mass(form, facts, "through_mg", Side.OUT, "sieved_powder", **typed_wet),
            typed_mass(form, facts, "oversize_mg", Side.OUT, "oversize", **typed_wet),
            typed_mass(form, facts, "lost_mg", Side.LOST, "sieved_powder", **typed_wet),
        ]
        return {"reads": reads, "rate": fed_words(fed), **live_balance(fed, typed, "sieving")}

    def context(self) -> dict[str, Any]:
        """Return the tubs that wait, and the last passes."""
        return {
            "ready": jobs_ready(waiting(["tub_powder"], TUBS_MOST)),
            "recorded": recorded(recent("sieving", ("pass",))),
        }


def jobs_ready(tubs: Sequence[Waiting]) -> list[Line]:
    """Return the jobs whose tubs wait, each with a link that takes all of them; a tub without a job stands alone."""
    jobs: dict[str, list[Waiting]] = defaultdict(list)
    for tub in tubs:
        jobs[tub.job].append(tub)
    alone = ready(jobs.pop("", []), "sieving", "lots", _("Sieve it"))
    return [job_line(job, of_job) for job, of_job in jobs.items()] + alone


def job_line(job: str, tubs: Sequence[Waiting]) -> Line:
    """Return the tubs of one job as an entry."""
    count = ngettext("%(count)d tub.", "%(count)d tubs.", len(tubs)) % {"count": len(tubs)}
    sentence = _("%(mass)s in the book.") % {"mass": mass(sum(tub.book_mg for tub in tubs))}
    url = f"{reverse('sieving')}?{urlencode({'job': job})}"
    return Line(tubs[-1].since_at, _("Job %(job)s, %(tubs)s") % {"job": job, "tubs": count}, sentence, url, _("Sieve them"))


def tub_codes(line: ScannedLine, act_id: uuid.UUID) -> list[str]:
    """Return the code of a scanned tub, or those of all tubs of a job whose tag was scanned among them."""
    of_job = [] if lot_of(line.scanned) else tubs_of_job(line.scanned.typed, act_id)
    return [tub.code for tub in of_job] or [lot_code(line.scanned)]


def scanned_tubs(lines: Sequence[ScannedLine]) -> tuple[list[Lot], list[str]]:
    """Return the tubs of a scan list, those of scanned jobs among them, and what the book does not know."""
    found = [(line.scanned.typed, [lot] if (lot := lot_of(line.scanned)) else tubs_of_job(line.scanned.typed)) for line in lines]
    return [tub for _typed, tubs in found for tub in tubs], [typed for typed, tubs in found if not tubs]


def scanned_lots(lines: Sequence[ScannedLine]) -> tuple[list[Lot], list[str]]:
    """Return the lots of a scan list, and what was typed of those that the book does not know."""
    found = [(line.scanned.typed, lot_of(line.scanned)) for line in lines]
    return [lot for _typed, lot in found if lot], [typed for typed, lot in found if lot is None]


def tubs_words(lots: Sequence[Lot], unknown: Sequence[str]) -> str:
    """Return what was scanned so far."""
    if unknown:
        return _("No lot %(code)s is in the book.") % {"code": unknown[0]}
    if not lots:
        return ""
    names = _(", ").join(lot_name(lot).name for lot in lots[-3:])
    return ngettext("%(count)d lot: %(names)s.", "%(count)d lots, the last: %(names)s.", len(lots)) % {"count": len(lots), "names": names}


def job_words(facts: dict[str, Any], tubs: Sequence[Lot]) -> str:
    """Return how many tubs of a job wait."""
    if not facts.get("job"):
        return ""
    return ngettext("%(count)d tub of this job waits.", "%(count)d tubs of this job wait.", len(tubs)) % {"count": len(tubs)}


def fed_words(fed: Sequence[Weighing]) -> str:
    """Return what goes in together."""
    total = sum(line.mass_mg for line in fed)
    return _("%(mass)s go in.") % {"mass": mass(total)} if total else ""
