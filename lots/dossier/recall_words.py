"""Sentences of a recall report, in the language that is switched on."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.dossier import words
from lots.dossier.dossier_contacts import cleaned_words, tier_word
from lots.dossier.recall_counts import Quantity, by_product, total_of
from lots.read.outgoing import Sent, SeriesTrace
from lots.read.recall_starts import Begin, Start
from lots.read.recalling import RecallAnswer
from lots.recall.ranges import range_words
from lots.trade.lineage import Tier
from lots.trade.units import number_text

__all__ = ["tier_word"]


@dataclass(frozen=True, slots=True)
class Case:
    """What the recall lead says of the case: its number, whether it is a drill, and why it was opened."""

    number: str = ""
    drill: bool = True
    reason: str = ""


def start_words(start: Start) -> str:
    """Return where a recall begins, in words."""
    if start.begin is Begin.PLOT:
        return plot_words(start)
    if start.begin is Begin.PAIR and start.from_at and start.until_at:
        return _("Stone pair %(pair)s, ground between %(first)s and %(last)s") % {
            "pair": start.name, "first": words.moment(start.from_at), "last": words.moment(start.until_at),
        }
    if start.begin is Begin.PACK:
        return _("Pack %(number)s of %(lot)s, and with it its whole packing run") % {
            "number": start.pack_no or 0, "lot": start.name,
        }
    if start.begin is Begin.PACKAGING:
        return _("Packaging lot %(code)s: every series that stands in it, %(count)s packs by the counts of labels") % {
            "code": start.name, "count": number_text(start.pack_count or 0, 0),
        }
    return _("Lot %(lot)s") % {"lot": start.name}


def elsewhere(answer: RecallAnswer) -> str:
    """Return what other packs the book has."""
    count = {"count": words.count(answer.elsewhere_count)}
    if not answer.elsewhere_count:
        return ""
    if answer.start.begin is Begin.PACKAGING:
        return _("%(count)s other series of packs are in the book; none was written down with it.") % count
    return _("%(count)s other series of packs are in the book; none holds it, and none shares a machine with it afterwards.") % count


def plot_words(start: Start) -> str:
    """Return the leaf of a plot in words."""
    parts = [_("Plot %(code)s, %(name)s") % {"code": start.name, "name": start.place} if start.place else _("Plot %(code)s") % {
        "code": start.name,
    }]
    if start.flush_no is not None:
        parts.append(_("flush %(number)s") % {"number": start.flush_no})
    if start.first_on:
        parts.append(_("plucked from %(day)s") % {"day": words.day(start.first_on)})
    if start.last_on:
        parts.append(_("plucked up to %(day)s") % {"day": words.day(start.last_on)})
    return _(", ").join(parts)


def lead(answer: RecallAnswer) -> str:
    """Return the whole answer in one or two sentences."""
    quantities = by_product(answer)
    if not quantities:
        return nothing_packed(answer)
    total = total_of(quantities)
    reached = len(answer.scope.dispatched_by_consignee)
    made = ngettext("%(count)s pack was made", "%(count)s packs were made", total.made_count) % {"count": words.count(total.made_count)}
    # Two sentences, not two numbers of one: a language without a plural needs both figures in its only form.
    left = _("%(count)s have left to one consignee") if reached == 1 else _("%(count)s have left to %(parties)s consignees")
    gone = left % {"count": words.count(total.dispatched_count), "parties": reached} if reached else _("none has left")
    said = _("%(made)s; %(gone)s, %(here)s are here, %(kept)s are kept samples. Not accounted for: %(missing)s.") % {
        "made": made, "gone": gone, "here": words.count(total.on_hand_count), "kept": words.count(total.retained_count),
        "missing": signed_count(total.unaccounted_count),
    }
    touched = sum(each.accounting.made_count for each in quantities if each.tier is Tier.TOUCHED)
    if not touched:
        return said
    beside = ngettext("%(count)s of them may only have touched it.", "%(count)s of them may only have touched it.", touched)
    return said + _(" ") + beside % {"count": words.count(touched)}


def nothing_packed(answer: RecallAnswer) -> str:
    """Return what is said where no pack holds it."""
    here = sum(1 for lot in answer.lots if lot.book_mg > 0)
    if not answer.start.steps and not answer.lots:
        return _("Nothing in the book answers this question: no lot begins there.")
    return ngettext(
        "No pack holds it, and none may have touched it. It is in %(count)s lot that is still here.",
        "No pack holds it, and none may have touched it. It is in %(count)s lots that are still here.", here,
    ) % {"count": words.count(here)}


def signed_count(number: int) -> str:
    """Return a count with its sign; nothing missing is 0 without one."""
    return number_text(number, 0, signed=True)


def counted_words(quantity: Quantity) -> str:
    """Return whether what is here was counted by a person or is the book's own figure."""
    return _("counted") if quantity.counted else _("by the book")


def product_name(series: SeriesTrace) -> str:
    """Return the product's name in the paper's language."""
    return (words.language() == "ja" and series.product_name_ja) or series.product_name


def numbers(sent: Sent) -> str:
    """Return the pack numbers that went, or that only a count was written down."""
    if sent.first_no is None or sent.last_no is None:
        return _("only a count was written: any of the series")
    return f"{sent.first_no}–{sent.last_no}"


def series_numbers(series: SeriesTrace) -> str:
    """Return the numbers of a series."""
    return f"{series.first_no}–{series.last_no}"


def bound_words(bound_mg: int | None) -> str:
    """Return the most that contact may have brought."""
    return _("nobody knows how much") if bound_mg is None else _("at most %(mass)s") % {"mass": words.mass(bound_mg)}


def not_sent_words(answer: RecallAnswer, series: int) -> str:
    """Return the numbers of a series that no delivery note took away, where numbers are known."""
    scope = next(one for one in answer.scope.series if one.fact.series == series)
    if scope.not_sent is None:
        return _("cannot be told by numbers")
    return range_words(scope.not_sent) or _("none")


def shut_words(answer: RecallAnswer, step: int) -> str:
    """Return why a packing run is excluded: which machine was opened and cleaned, when, in which entry."""
    return cleaned_words(answer.shut.get(step, ()))


def open_points(answer: RecallAnswer) -> list[str]:
    """Return what is not settled: contradictions, shelves that nobody counted, bounds that nobody knows, erased names."""
    points = [question.text(words.language()) for question in answer.scope.questions]
    uncounted = [one for one in answer.scope.uncounted if one.fact.retained_count != one.fact.made_count and one.by_book_count]
    if uncounted:
        points.append(_("Nobody has counted the shelf for: %(lots)s. What is said to be here is the book's own figure.") % {
            "lots": ", ".join(dict.fromkeys(f"{one.fact.lot} {one.fact.product}" for one in uncounted)),
        })
    if any(each.bound_mg is None for each in answer.contacts):
        points.append(_("For at least one contact nobody knows how much may have gone over; the runs behind it count in full."))
    erased = [each.code for each in answer.consignees.values() if not each.name or not each.contact]
    if erased:
        points.append(_("Name or contact is not in the book any more for: %(codes)s.") % {"codes": ", ".join(erased)})
    if answer.scope.may_have_received:
        points.append(_("Some deliveries were written down by count only; those consignees may have received any of the series."))
    return points


def cautions() -> tuple[str, ...]:
    """Return what every reader of a recall report has to know."""
    return (
        _("How grave the case is, how far the recall goes, how the public is warned and when it ends, the competent authority decides."),
        _("All counts are those that the book held at the moment named at the foot of the page; whatever came after is not in them."),
        _("A pack that is accounted for has not necessarily come back: sold or used packs are known, and gone."),
        _("That a pack or a lot is not on these lists does not prove it to be safe."),
        _("Do not draw the circle narrower than it stands here without a written assessment and a name under it."),
        _("“May have touched” rests on recorded clean-downs; a machine that was cleaned without an entry counts as not cleaned."),
        _("“100 %” is printed only where nothing at all is missing or too many; everything else shows its difference with its sign."),
    )
