"""The book of one lot: life, verdicts, stock, holds, where it came from, what was made of it, papers and acts."""

from __future__ import annotations

from collections.abc import Sequence

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from lots.balance.totals import worst_of
from lots.desk.access import may
from lots.desk.life_words import BEFORE_MAX, life_rows
from lots.desk.outside_words import bulk_entries, outside_entries
from lots.desk.release_entries import Act, tested
from lots.desk.saying import (
    Said,
    capital,
    certified,
    cultivar_word,
    day_text,
    flush_word,
    headline,
    node_name,
    node_sentence,
    node_stage_word,
    paragraph,
    plot_words,
    plots_said,
    share_text,
)
from lots.desk.scale_check import questioned_entries
from lots.desk.stop_words import stop_entry
from lots.desk.ways import way
from lots.desk.words import mass, material_word, printed
from lots.models import Hold, Lot
from lots.read.finding import Kind, find
from lots.read.lot_book import LotBook, lot_book
from lots.read.names import opened
from lots.read.origins import OriginShare
from lots.read.verdicts import worst_node
from lots.trade.weighing import Verdict

ORIGINS_MAX = 12


@require_safe
def lot_book_asked(request: HttpRequest) -> HttpResponse:
    """Ask whose book is to be opened; open it where the label names one lot."""
    code = request.GET.get("code", "").strip()
    if not code:
        return render(request, "desk/lot_book_asked.html", {"code": code})
    found = find(code)
    if found.sure and len(found.lots) == 1:
        return redirect("lot", code=found.lots[0].code)
    return render(request, "desk/lot_book_asked.html", {
        "code": code, "choices": [choice(lot) for lot in found.lots], "unknown": unknown(found.kind, code),
    }, status=200 if found.lots else 404)


def choice(lot: Lot) -> Said:
    """Return one of several lots to choose from."""
    return Said(
        what=_("%(code)s, %(material)s.") % {"code": printed(lot.code), "material": material_word(lot.material)},
        sentence=_("%(mass)s, %(day)s.") % {"mass": mass(lot.mass_mg), "day": day_text(lot.step.happened_at)},
        side=lot.maker_ref, href=way("lot", lot.code), do=_("Open its lot book"),
    )


def unknown(kind: Kind, code: str) -> str:
    """Return why nothing was found."""
    if kind is Kind.FALSE_PACK:
        return _("No run of this mill gave out the pack code %(code)s. Look at the pack once more.") % {"code": code}
    if kind is Kind.UNKNOWN:
        return _("No lot and no pack is called %(code)s. Scan the label again, or look under Lots.") % {"code": code}
    return ""


@require_safe
def lot(request: HttpRequest, code: str) -> HttpResponse:
    """Show the book of one lot; a reference that several lots carry asks which one."""
    found = find(code)
    if not found.sure or len(found.lots) != 1:
        return lot_book_choice(request, code)
    book = lot_book(Lot.objects.select_related("step", "stock").get(pk=found.lots[0].pk))
    growers = opened(o.grower for o in book.origins)
    names = opened([sent.name for sent in book.sent])
    return render(request, "desk/lot.html", {
        "book": book, "title": book.lot.name, "lead": lead(book, growers), "headline": head(book), "code": book.lot.code,
        "verdict": worst_of(n.balance.verdict for n in book.balances) if book.balances else None,
        "stopped": [*hold_entries(book), *questioned_entries(found.lots[0])],
        "life": life_rows(book), "more_before": len(book.before) > BEFORE_MAX,
        "in_mg": book.in_mg + sum(line.difference_mg or 0 for line in book.life),
        "packs": [*pack_entries(book, names), *bulk_entries(found.lots[0])],
        "balances": balance_entries(book), "origins": [*origin_entries(book.origins, growers), *outside_entries(found.lots[0])],
        "made": [stop_entry(stop) for stop in book.after], "papers": papers(request, book), "acts": acts(request, book),
        **tested(found.lots[0]),
    })


def lot_book_choice(request: HttpRequest, code: str) -> HttpResponse:
    """Show the lots that a text may mean, or that it names none."""
    found = find(code)
    return render(request, "desk/lot_book_asked.html", {
        "code": code, "choices": [choice(lot) for lot in found.lots], "unknown": unknown(found.kind, code),
    }, status=200 if found.lots else 404)


# Head ----------------------------------------------------------------------------------------------------------------


def lead(book: LotBook, growers: dict[str, str]) -> str:
    """Return the lot in two sentences: leaf and stock."""
    what = capital(material_word(book.lot.material))
    return paragraph([leaf_sentence(what, book.origins, growers), stock_sentence(book)])


def leaf_sentence(what: str, origins: Sequence[OriginShare], growers: dict[str, str]) -> str:
    """Return what a lot is and where its leaf grew."""
    if len(origins) != 1 or origins[0].harvest is None:
        count = len([o for o in origins if o.harvest is not None])
        if not count:
            return _("%(what)s; nobody knows where its leaf grew.") % {"what": what}
        return _("%(what)s from %(count)d pluckings: %(plots)s.") % {
            "what": what, "count": count, "plots": plots_said(origins[:4])}
    one = origins[0]
    parts = [one.plot_name, cultivar_word(one), flush_word(one.flush_no), growers.get(one.grower, ""), certified(one.state)]
    return _("%(what)s of %(leaf)s.") % {"what": what, "leaf": _(", ").join(p for p in parts if p)}


def stock_sentence(book: LotBook) -> str:
    """Return how much of the lot is here."""
    if book.taken_back:
        return _("It was taken back: it did not happen.")
    if book.series is not None:
        return _("%(here)d of %(made)d packs are here.") % {"here": book.series.here_count, "made": book.series.made_count}
    if book.emptied or book.book_mg <= 0:
        return _("Nothing of it is left.")
    on = _(" on shelf %(shelf)s") % {"shelf": book.shelf} if book.shelf else ""
    return _("%(mass)s of it are left%(shelf)s.") % {"mass": mass(book.book_mg), "shelf": on}


def head(book: LotBook) -> str:
    """Return the verdict as a headline."""
    worst = worst_node(book.balances)
    if worst is None:
        return ""
    if worst.balance.verdict is Verdict.ADDS_UP and book.corrected_at is not None:
        return _("Adds up since the correction of %(day)s") % {"day": day_text(book.corrected_at)}
    return headline(worst)


# Parts ---------------------------------------------------------------------------------------------------------------


def hold_entries(book: LotBook) -> list[Said]:
    """Return the holds and recalls of a lot, those that ended too."""
    found = []
    for hold in book.holds:
        recall = hold.kind == Hold.Kind.RECALL
        since = (_("Fetched back since %(day)s.") if recall else _("On hold since %(day)s.")) % {"day": day_text(hold.since_at)}
        ended = _("Ended %(day)s: %(reason)s.") % {
            "day": day_text(hold.ended_at), "reason": hold.ended_reason.rstrip(".")} if hold.ended_at else ""
        where = "" if hold.lot.code == book.lot.code else _("It stands on lot %(lot)s.") % {"lot": hold.lot.name}
        found.append(Said(
            what=since, sentence=paragraph([_("%(reason)s.") % {"reason": hold.reason.rstrip(".")}, where, ended]),
            side=_("ended") if hold.ended_at else _("stopped"), href=way("entry", hold.entry), do=_("See the entry"),
        ))
    return found


def balance_entries(book: LotBook) -> list[Said]:
    """Return the balances of a lot."""
    return [
        Said(what=_("%(what)s.") % {"what": node_name(node)}, sentence=node_sentence(node), verdict=node.balance.verdict,
             side=node_stage_word(node.stage), href=way("balance-node", node.step), do=_("See the figures"))
        for node in book.balances
    ]


def origin_entries(origins: Sequence[OriginShare], growers: dict[str, str]) -> list[Said]:
    """Return the harvests in a lot, the largest share first."""
    found = [origin_entry(o, growers) for o in origins[:ORIGINS_MAX]]
    more = len(origins) - len(found)
    if more > 0:
        rest = sum(o.share_frac for o in origins[ORIGINS_MAX:])
        found.append(Said(side=share_text(rest), sentence=ngettext(
            "%(count)d more plucking.", "%(count)d more pluckings.", more) % {"count": more}))
    return found


def origin_entry(origin: OriginShare, growers: dict[str, str]) -> Said:
    """Return one harvest in a lot."""
    if origin.harvest is None or origin.lot is None or origin.plucked_on is None:
        return Said(side=share_text(origin.share_frac), what=_("Not known."), sentence=_("No plucking accounts for it."))
    grower = growers.get(origin.grower, "")
    by = _(" by the %(grower)s") % {"grower": grower} if grower else ""
    return Said(
        side=share_text(origin.share_frac), what=_("%(plot)s.") % {"plot": plot_words(origin)},
        sentence=_("%(flush)s, plucked %(day)s%(by)s; %(lot)s, %(mass)s of fresh leaf.") % {
            "flush": capital(flush_word(origin.flush_no)), "day": day_text(origin.plucked_on), "by": by,
            "lot": origin.lot.name, "mass": mass(origin.fresh_mg)},
        href=way("lot", origin.lot.code), do=_("Open its lot book"),
    )


def pack_entries(book: LotBook, names: dict[str, str]) -> list[Said]:
    """Return where the packs of a lot went."""
    return [
        Said(
            what=_("%(name)s.") % {"name": names.get(sent.name) or sent.consignee}, side=day_text(sent.happened_at)[:10],
            sentence=paragraph([
                ngettext("%(count)d pack", "%(count)d packs", sent.pack_count) % {"count": sent.pack_count} + ",",
                _("numbers %(first)d to %(last)d.") % {"first": sent.first_no, "last": sent.last_no}
                if sent.first_no is not None and sent.last_no is not None else _("numbers not written down."),
                _("Document %(number)s.") % {"number": sent.document_no} if sent.document_no else "",
            ]), href=way("entry", sent.entry), do=_("See the entry"),
        )
        for sent in book.sent
    ]


def papers(request: HttpRequest, book: LotBook) -> list[Act]:
    """Return the papers that can be printed of a lot, as far as this person may."""
    code = book.lot.code
    kind = "packs" if book.series is not None else "lots"
    offered = (
        ("dossier", Act(_("Dossier for a buyer or inspector"), way("dossier", lot=code))),
        ("recall", Act(_("Recall report"), way("recall", lot=code))),
        ("label-sheet", Act(_("Sheet of labels"), way("label-sheet", kind=kind, lots=code))),
    )
    return [act for page, act in offered if act.href and may(request.user, page)]


def acts(request: HttpRequest, book: LotBook) -> list[Act]:
    """Return what can be done with a lot, as far as this person may."""
    code = book.lot.code
    offered = [
        ("trace", Act(_("Where from, where to"), way("trace", code=code))),
        ("release-lot", Act(_("Tests and release"), way("release-lot", code))),
        ("holding-hold", Act(_("Hold this lot"), way("holding-hold", lot=code))),
        ("corrections-adjust", Act(_("Correct an entry"), way("corrections", code=code))),
    ]
    if book.series is not None:
        offered.append(("packing-run", Act(_("Its packing run"), way("packing-run", book.step))))
    if not book.taken_back and not book.after and len(book.life) == 1:
        offered.append(("corrections-reverse", Act(_("It did not happen"), way("corrections-reverse", book.step))))
    return [act for page, act in offered if act.href and may(request.user, page)]
