"""The sheets of a recall report: plain rows for a spreadsheet, one sheet for each kind."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from django.utils.translation import gettext as _

from lots.dossier import recall_words as say
from lots.dossier import words
from lots.dossier.recall_counts import Quantity, by_product, by_series, exact_percent, total_of
from lots.dossier.recall_outside import outside_points
from lots.dossier.recall_words import Case
from lots.dossier.tables import Cell, Table
from lots.read.outgoing import Sent
from lots.read.paper_heads import PaperHead
from lots.read.recalling import RecallAnswer
from lots.trade.lineage import Tier
from lots.trade.units import kg_from_mg


def kg(mass_mg: int | None) -> Decimal | None:
    """Return a mass in kilograms for a cell."""
    return None if mass_mg is None else kg_from_mg(mass_mg)


def tables(answer: RecallAnswer, case: Case, head: PaperHead) -> list[Table]:
    """Return every sheet, the summary first."""
    return [
        summary(answer, case, head), quantities(answer), series(answer), consignees(answer), may_have_received(answer), lots(answer),
        paths(answer), tiers(answer), cautions(answer),
    ]


def summary(answer: RecallAnswer, case: Case, head: PaperHead) -> Table:
    """Return the answer in pairs of words."""
    total = total_of(by_product(answer))
    rows: list[tuple[Cell, ...]] = [
        (_("Drill or real"), _("drill") if case.drill else _("real")),
        (_("Case"), case.number), (_("Begins at"), say.start_words(answer.start)), (_("Reason"), case.reason),
        (_("Maker"), head.name), (_("Contact"), head.contact),
        (_("Data as of"), head.as_of_at), (_("Entries in the book"), head.entry_count), (_("Root of the journal"), head.root.hex()),
        (_("Packs made"), total.made_count), (_("Kept samples"), total.retained_count), (_("Destroyed"), total.destroyed_count),
        (_("Dispatched"), total.dispatched_count), (_("Here"), total.on_hand_count), (_("Accounted for"), total.found_count),
        (_("Not accounted for"), total.unaccounted_count),
        (_("Accounted for, of packs made"), exact_percent(total.reconciled_frac, _("not applicable"))),
        (_("Consignees"), len(answer.scope.dispatched_by_consignee)),
    ]
    return Table("summary", _("Summary"), (_("What"), _("Figure")), rows)


def count_headings() -> tuple[str, ...]:
    """Return the headings of the counts."""
    return (
        _("Made"), _("Kept"), _("Destroyed"), _("Dispatched"), _("Here"), _("Here: how known"), _("Accounted for"), _("Not accounted for"),
        _("Net, kg"),
    )


def count_cells(one: Quantity) -> tuple[Cell, ...]:
    """Return the counts as cells."""
    each = one.accounting
    return (
        each.made_count, each.retained_count, each.destroyed_count, each.dispatched_count, each.on_hand_count, say.counted_words(one),
        one.accounted_count, each.unaccounted_count, kg(one.net_mg),
    )


def quantities(answer: RecallAnswer) -> Table:
    """Return the counts by product."""
    rows = [(say.tier_word(one.tier), one.product.lot.name, say.product_name(one.product), *count_cells(one)) for one in by_product(answer)]
    return Table("quantities", _("Quantities"), (_("Tier"), _("Lot"), _("Product"), *count_headings()), rows)


def series(answer: RecallAnswer) -> Table:
    """Return the series of packs with their numbers and counts."""
    rows = [series_row(answer, one) for one in by_series(answer)]
    headings = (
        _("Tier"), _("Lot"), _("Lot code"), _("Product"), _("Net content, g"), _("Run"), _("First number"), _("Last number"),
        _("Packed on"), _("Best before"), *count_headings(), _("Numbers not sent"), _("Bound of contact, kg"),
    )
    return Table("series", _("Series of packs"), headings, rows)


def series_row(answer: RecallAnswer, one: Quantity) -> tuple[Cell, ...]:
    """Return one series."""
    it = one.product
    return (
        say.tier_word(one.tier), it.lot.name, words.lot_code(it.lot.code), say.product_name(it), Decimal(it.net_mg) / 1000, it.run_no,
        it.first_no, it.last_no, it.packed_on, it.best_before_on, *count_cells(one), say.not_sent_words(answer, it.series),
        kg(one.bound_mg),
    )


def consignees(answer: RecallAnswer) -> Table:
    """Return who received packs whose numbers are known."""
    return consignee_table("consignees", _("Consignees"), answer, list(sent_of(answer, exact=True)))


def may_have_received(answer: RecallAnswer) -> Table:
    """Return who may have received any of a series, because only a count was written down."""
    return consignee_table("may-have-received", _("May have received"), answer, list(sent_of(answer, exact=False)))


def sent_of(answer: RecallAnswer, *, exact: bool) -> Iterator[Sent]:
    """Yield the deliveries of series in the recall, those with numbers or those without, by consignee and day."""
    tier = {one.fact.series: one.tier for one in answer.scope.series}
    rows = (one for one in answer.sent if tier.get(one.series) in {Tier.CONTAINS, Tier.TOUCHED} and (one.first_no is not None) == exact)
    yield from sorted(rows, key=lambda one: (one.consignee, one.happened_at, one.series, one.first_no or 0))


def consignee_table(key: str, title: str, answer: RecallAnswer, sent: list[Sent]) -> Table:
    """Return deliveries as rows."""
    headings = (
        _("Consignee"), _("Name"), _("Contact"), _("Delivery note"), _("Carrier"), _("Left at"), _("Lot"), _("Product"), _("Packs"),
        _("Come back"), _("First number"), _("Last number"), _("Tier"),
    )
    return Table(key, title, headings, [consignee_row(answer, one) for one in sent])


def consignee_row(answer: RecallAnswer, one: Sent) -> tuple[Cell, ...]:
    """Return one delivery."""
    who, series_ = answer.consignees[one.consignee], answer.series[one.series]
    return (
        one.consignee, who.name, ", ".join(who.contact), one.document_no, one.carrier, one.happened_at, series_.lot.name,
        say.product_name(series_), one.pack_count, one.returned_count, one.first_no, one.last_no, say.tier_word(series_.tier),
    )


def lots(answer: RecallAnswer) -> Table:
    """Return every lot that holds it or may."""
    rows = [
        (say.tier_word(one.tier), one.lot.name, words.lot_code(one.lot.code), words.material_word(one.lot.material),
         words.stage_word(one.stage), one.opened_at, kg(one.made_mg), kg(one.book_mg), kg(one.bound_mg))
        for one in answer.lots
    ]
    headings = (
        _("Tier"), _("Lot"), _("Lot code"), _("Material"), _("Stage"), _("Opened"), _("Made, kg"), _("Here by the book, kg"),
        _("Bound of contact, kg"),
    )
    return Table("lots", _("Lots"), headings, rows)


def paths(answer: RecallAnswer) -> Table:
    """Return the ways that it took, stop by stop."""
    by_key = {stop.key: stop for stop in answer.stops}
    rows: list[tuple[Cell, ...]] = [
        (words.stage_word(by_key[way.source].stage), by_key[way.source].name, words.stage_word(by_key[way.target].stage),
         by_key[way.target].name, ", ".join(by_key[way.target].machines), by_key[way.target].first_at, by_key[way.target].last_at,
         kg(way.mass_mg), Decimal(f"{100 * way.share_frac:.4f}"), say.tier_word(by_key[way.target].tier))
        for way in answer.ways if way.source in by_key and way.target in by_key
    ]
    headings = (
        _("From stage"), _("From"), _("To stage"), _("To"), _("Machines"), _("First"), _("Last"), _("Mass as read, kg"),
        _("Share of what went in, %"), _("Tier"),
    )
    return Table("paths", _("Paths"), headings, [*rows, *(gone_row(answer, one) for one in answer.sent)])


def gone_row(answer: RecallAnswer, one: Sent) -> tuple[Cell, ...]:
    """Return the last way of packs: out of the house."""
    it, who = answer.series[one.series], answer.consignees[one.consignee]
    return (
        words.stage_word("packing"), it.lot.name, words.stage_word("dispatch"), who.name or who.code, one.carrier, one.happened_at,
        one.happened_at, kg((one.pack_count - one.returned_count) * it.net_mg), None, say.tier_word(it.tier),
    )


def tiers(answer: RecallAnswer) -> Table:
    """Return every series with its tier and the reason for it, and every contact."""
    rows: list[tuple[Cell, ...]] = [tier_row(answer, one.fact.series) for one in answer.scope.series]
    rows += [
        (say.tier_word(Tier.TOUCHED), _("contact on %(machine)s") % {"machine": each.machine}, f"{each.earlier} → {each.later}",
         say.bound_words(each.bound_mg), kg(each.bound_mg))
        for each in answer.contacts
    ]
    return Table("tiers", _("Tiers"), (_("Tier"), _("What"), _("Which"), _("Why"), _("Bound of contact, kg")), rows)


def tier_row(answer: RecallAnswer, series_id: int) -> tuple[Cell, ...]:
    """Return one series with its tier and why."""
    it = answer.series[series_id]
    scope = next(one for one in answer.scope.series if one.fact.series == series_id)
    return (
        say.tier_word(scope.tier), f"{it.lot.name} {say.product_name(it)}", say.series_numbers(it), tier_reason(answer, series_id),
        kg(scope.bound_mg),
    )


def tier_reason(answer: RecallAnswer, series_id: int) -> str:
    """Return why a series is in its tier."""
    scope = next(one for one in answer.scope.series if one.fact.series == series_id)
    if scope.tier is Tier.EXCLUDED:
        return say.shut_words(answer, scope.fact.step)
    if scope.tier is Tier.TOUCHED:
        return _("a machine was not opened and cleaned in between: %(bound)s") % {"bound": say.bound_words(scope.bound_mg)}
    return _("recorded flow: it is in it")


def cautions(answer: RecallAnswer) -> Table:
    """Return open points and cautions."""
    rows: list[tuple[Cell, ...]] = [(_("open"), words_) for words_ in (*say.open_points(answer), *outside_points(answer))]
    return Table("cautions", _("Cautions"), (_("Kind"), _("Sentence")), [*rows, *((_("caution"), each) for each in say.cautions())])
