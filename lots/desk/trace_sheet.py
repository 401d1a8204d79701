"""The lineage drawing of a trace as the desk shows it: everything may be seen, and boxes lead to their pages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from django.utils.translation import gettext as _

from lots.desk.saying import day_text, listed, machine_word
from lots.desk.stop_words import stop_way
from lots.desk.ways import way
from lots.desk.words import language
from lots.dossier.eyes import Eyes, Reader
from lots.dossier.lineage import lineage_sheet, without_ovens
from lots.drawing import words as drawing_words
from lots.drawing.grouping import Spot, grouped
from lots.drawing.lineage import lineage_svg
from lots.models import Cultivar
from lots.read.balances import BalanceNode
from lots.read.machines import balances_of
from lots.read.registers import newest
from lots.read.trace_records import Excluded, Touched, Trace
from lots.trade.language import is_japanese
from lots.trade.lineage import Arrow, Box, Ending, LineageSheet, Tier
from lots.trade.units import kg_text

#: More boxes than this are put together; the numbers of the columns that can be drawn one by one again.
BOXES_MAX, COLUMNS = 30, frozenset(str(column) for column in range(8))


class DeskEyes(Eyes):
    """The eyes of the house: nothing is withheld."""

    def __init__(self, parties: Mapping[str, str]) -> None:
        self.reader, self.disclosed, self.parties = Reader.INSPECTOR, {}, dict(parties)
        self.cultivars_ja = dict(newest(Cultivar).exclude(name_ja="").values_list("name", "name_ja"))
        self._unnamed = {}


def sheet_of(traced: Trace, eyes: Eyes) -> LineageSheet:
    """Return everything that the drawing shows."""
    nodes: list[BalanceNode] = list(balances_of({run for stop in traced.stops for run in stop.runs}).values())
    sheet = lineage_sheet(traced, nodes, eyes)
    ways = {stop.key: stop_way(stop)[0] for stop in traced.stops}
    boxes = tuple(with_way(box, ways) for box in sheet.boxes)
    tier_of = {box.key: box.tier for box in boxes}
    endings = (*(touched_ending(t) for t in traced.touched), *(excluded_ending(e) for e in traced.excluded))
    arrows = tuple(recorded(arrow, tier_of) for arrow in sheet.arrows)
    return replace(sheet, boxes=boxes, arrows=arrows, endings=tuple(e for e in endings if e.key in tier_of))


def recorded(arrow: Arrow, tier_of: Mapping[str, Tier]) -> Arrow:
    """Return an arrow within one tier with a solid line: what went from stop to stop there is recorded; only the contact is not."""
    return replace(arrow, tier=Tier.CONTAINS) if tier_of[arrow.source] is tier_of[arrow.target] else arrow


def with_way(box: Box, ways: Mapping[str, str]) -> Box:
    """Return a box that leads to its page, where it has one; the scanned one is where the reader is."""
    return box if box.scanned else replace(box, href=ways.get(box.key, ""))


def drawn(sheet: LineageSheet, described_by: str, asked: Mapping[str, str]) -> str:
    """Return the drawing as markup. On a crowded one the boxes of a stage are put together; each group leads to the same question
    (``asked``) with its own boxes drawn one by one. Ovens that add up only hand on what they took: without their column the drawing
    fits the page."""
    words = drawing_words.JAPANESE if is_japanese(language()) else drawing_words.ENGLISH

    def opening(tier: Tier, column: int) -> str:
        return way("trace", **{**asked, "open": f"{tier.name.lower()}-{column}"})

    few = grouped(without_ovens(sheet), BOXES_MAX, opened=spot_of(asked.get("open", "")), link=opening, words=words)
    return lineage_svg(few, "lineage", described_by=described_by, words=words)


def spot_of(text: str) -> Spot | None:
    """Return the tier and column that an address opens: "contains-2"; None for anything else."""
    name, _dash, number = text.partition("-")
    tier = Tier.__members__.get(name.upper())
    return (tier, int(number)) if tier and number in COLUMNS else None


def bound_text(touched: Touched) -> str:
    """Return how much may have gone over: "0.31 kg, at most 0.36"."""
    if touched.bound_mg is None:
        return _("nobody knows how much")
    most = kg_text(touched.bound_mg, 2, language())
    if touched.estimate_mg is None:
        return _("at most %(mass)s") % {"mass": most}
    return _("%(mass)s, at most %(most)s") % {"mass": kg_text(touched.estimate_mg, 2, language()), "most": most}


def touched_ending(touched: Touched) -> Ending:
    """Return the words behind the row of a contact."""
    machines = listed([machine_word(m) for m in touched.machines])
    return Ending(touched.other, bound_text(touched), _("%(machines)s: not cleaned before %(day)s") % {
        "machines": machines, "day": whole(day_text(touched.to_at))}, barred=False)


def excluded_ending(excluded: Excluded) -> Ending:
    """Return the words behind the row of what was shut out."""
    machines = listed(list(dict.fromkeys(machine_word(c.machine) for c in excluded.cleaned)))
    days = listed(list(dict.fromkeys(day_text(c.happened_at) for c in excluded.cleaned)))
    return Ending(excluded.other, _("stops here: cleaned"), _("%(machines)s, %(days)s") % {
        "machines": machines, "days": whole(days)}, barred=True)


def whole(text: str) -> str:
    """Return words whose dates a drawing does not break."""
    return text.replace("-", "\u2011")
