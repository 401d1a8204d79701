"""The season: one year from field to pack as a flow to scale, and the same in figures."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.balance.words import how_much
from lots.desk.balance import Look, chosen_year
from lots.desk.saying import capital, count_word, listed, node_stage_word, pair_word, paragraph, small_first, sum_text
from lots.desk.ways import way
from lots.desk.words import language
from lots.drawing import words as drawing_words
from lots.drawing.flow import flow_tall, flow_wide
from lots.drawing.twin import flow_rows
from lots.read.faults import Fault, Together, as_read_mg, faults, residual_mg
from lots.read.season import ORDER, SeasonYear, season_year
from lots.read.years import years
from lots.trade.language import is_japanese
from lots.trade.season import Branch
from lots.trade.units import kg_text, usual_places
from lots.trade.weighing import Verdict

#: The table's id: both drawings say that it tells the same.
TWIN = "season-figures"


@dataclass(frozen=True, slots=True)
class Note:
    """A sentence under the table, and where to look."""

    sentence: str
    href: str


@require_safe
def season(request: HttpRequest) -> HttpResponse:
    """Show one year of the book as a flow."""
    known = years()
    year = chosen_year(request, known)
    if not year:
        return render(request, "desk/season.html", {"lead": _("Nothing has been weighed yet."), "looks": []})
    shown = season_year(year, language())
    words = drawing_words.JAPANESE if is_japanese(language()) else drawing_words.ENGLISH
    return render(request, "desk/season.html", {
        "year": year, "lead": lead(shown), "rows": flow_rows(shown.flow, words), "notes": notes(shown),
        "wide": SafeString(flow_wide(shown.flow, "season-wide", described_by=TWIN, words=words)),
        "tall": SafeString(flow_tall(shown.flow, "season-tall", described_by=TWIN, words=words)),
        "looks": [Look(str(one), way("season", year=str(one)), one == year) for one in known] if len(known) > 1 else [],
    })


def lead(shown: SeasonYear) -> str:
    """Return the year in sentences that can be read aloud."""
    fresh = shown.flow.stages[0].input_mg
    powder = shown.stream_mg("sieving", Branch.MAIN)
    first = _("Of %(fresh)s of dry leaf that came from the field, %(powder)s are powder and %(shelf)s are still on the shelf.") % {
        "fresh": sum_text(fresh, 0), "powder": sum_text(powder, 0),
        "shelf": sum_text(shown.stream_mg("counting", Branch.SHELF), 0),
    }
    in_mill = shown.stream_mg("milling", Branch.IN_MILL)
    mill = _("%(mass)s are in the mill.") % {"mass": sum_text(in_mill)} if in_mill > 0 else ""
    return paragraph([first, mill, rest(faults(shown.nodes))])


def rest(found: list[Fault]) -> str:
    """Return that everything else has a name, but for what does not add up."""
    if not found:
        return _("The rest has a name or is the usual small loss.")
    return _("The rest has a name or is the usual small loss, but for %(faults)s.") % {
        "faults": listed([fault_words(fault) for fault in found[:3]])}


def fault_words(fault: Fault) -> str:
    """Return one fault in a few words: "2.4 kg missing at sorting that turn up again at the shelf"."""
    first, last = fault.nodes[0], fault.nodes[-1]
    if fault.together is Together.CARRIED and fault.carried is not None:
        mass_mg = as_read_mg(first, fault.carried.carried_mg)
        return _("about %(mass)s that seem to have stayed on %(pair)s from one job to the next") % {
            "mass": kg_text(mass_mg, usual_places(mass_mg), language()), "pair": small_first(pair_word(first.machine))}
    words = {"mass": how_much(first.balance, language()), "first": node_stage_word(first.stage),
             "last": node_stage_word(last.stage)}
    if fault.together is Together.READING and residual_mg(first) > 0:
        return _("%(mass)s at %(first)s that turn up again on the %(last)s") % words
    return _("%(mass)s at %(first)s") % words


def notes(shown: SeasonYear) -> list[Note]:
    """Return what the sums hide, and what stands in them without a moisture."""
    found = [hidden(shown, stage) for stage in ORDER]
    if shown.unmeasured_mg:
        found.append(Note(_("%(mass)s stand in these sums as read: nobody measured their moisture.") % {
            "mass": sum_text(shown.unmeasured_mg, 2)}, ""))
    counted = shown.counted_mg
    if counted:
        found.append(Note(_("Of what is still on the shelf %(mass)s dry were counted; the rest stands as it was booked.") % {
            "mass": sum_text(counted, 2)}, ""))
    return [note for note in found if note is not None]


def hidden(shown: SeasonYear, stage: str) -> Note | None:
    """Return that a sum adds up though some of its balances do not, or nothing."""
    total = shown.totals[stage]
    off = [n for n in shown.nodes if n.stage == stage and n.balance.verdict in {Verdict.LOOK, Verdict.STOP}]
    if not off or total.balance.verdict is not Verdict.ADDS_UP:
        return None
    one = _("%(stage)s: the sum adds up, but %(count)s of its %(all)d balances does not.")
    more = _("%(stage)s: the sum adds up, but %(count)s of its %(all)d balances do not. They cancel each other here.")
    said = (one if len(off) == 1 else more) % {
        "stage": capital(node_stage_word(stage)), "count": count_word(len(off)), "all": total.judged_count}
    return Note(said, way("balance", by="all", year=str(shown.year), stage=stage))
