"""The lineage of a trace as a sheet for the drawing: field on the left, consignees on the right, three tiers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.balance.totals import worst_of
from lots.dossier import words
from lots.dossier.eyes import Eyes
from lots.read.balances import BalanceNode
from lots.read.origins import OriginShare
from lots.read.outgoing import Sent, SeriesTrace
from lots.read.stops import Stop
from lots.read.trace_records import Excluded, Touched, Trace
from lots.trade.lineage import Arrow, Box, Ending, LineageSheet, Tier
from lots.trade.stages import STAGES
from lots.trade.units import MG_PER_KG, kg_text, number_text, percent_text, short_date_text, usual_places
from lots.trade.weighing import Verdict

FIELD, OVEN, GONE = 0, 2, 7
#: From here on a mass on the drawing has no decimals.
FULL_MG = 100 * MG_PER_KG


def lineage_sheet(traced: Trace, nodes: Sequence[BalanceNode], eyes: Eyes) -> LineageSheet:
    """Return everything that the lineage drawing of a trace shows, as far as its reader may see it."""
    return _Sheet(traced, nodes, eyes).made()


def columns() -> tuple[str, ...]:
    """Return the names of the columns."""
    named = {stage.column: words.stage_word(stage.key) for stage in STAGES.values() if stage.column}
    return (_("Field plot"), *(named[number] for number in range(1, GONE)), _("Gone to"))


class _Sheet:
    """Puts boxes, arrows and endings together."""

    def __init__(self, traced: Trace, nodes: Sequence[BalanceNode], eyes: Eyes) -> None:
        self.trace, self.eyes = traced, eyes
        self.verdicts: dict[int, list[Verdict]] = defaultdict(list)
        for node in nodes:
            self.verdicts[node.step].append(node.balance.verdict)
        self.harvests = {o.harvest: o for o in self.all_origins() if o.harvest is not None}

    def all_origins(self) -> Iterable[OriginShare]:
        """Yield every harvest that the trace names."""
        yield from self.trace.origins
        for each in self.trace.touched:
            yield from (*each.origins, *each.behind)
        for other in self.trace.excluded:
            yield from other.origins

    def made(self) -> LineageSheet:
        """Return the sheet."""
        plots, roots = self.plots()
        gone, to_gone = self.gone()
        boxes = (*plots, *(self.stop_box(stop) for stop in self.trace.stops), *gone)
        known = {box.key for box in boxes}
        drawn = (*roots, *(self.way_arrows()), *(self.touch_arrow(t) for t in self.trace.touched), *to_gone)
        arrows = tuple(arrow for arrow in drawn if arrow.source in known and arrow.target in known)
        endings = (*(self.touch_ending(t) for t in self.trace.touched), *(self.shut_ending(e) for e in self.trace.excluded))
        return LineageSheet(columns(), boxes, arrows, tuple(e for e in endings if e.key in known), self.summary())

    def summary(self) -> str:
        """Return the drawing's one sentence."""
        name = self.trace.lots[0].name
        plots = len({o.plot for o in self.trace.origins if o.plot})
        said = _("%(lot)s: leaf of one plot.") if plots == 1 else _("%(lot)s: leaf of %(count)s plots.")
        said %= {"lot": name, "count": plots}
        touched = len(self.trace.touched)
        return said if not touched else said + _(" ") + ngettext(
            "One contact on a machine.", "%(count)s contacts on machines.", touched) % {"count": touched}

    # Boxes -----------------------------------------------------------------------------------------------------------

    def plots(self) -> tuple[list[Box], list[Arrow]]:
        """Return the field plots, and the arrows from each to its harvests."""
        boxes: dict[str, Box] = {}
        arrows = []
        for stop in self.trace.stops:
            harvest = self.harvests.get(stop.steps[0]) if stop.stage == "harvest" else None
            if harvest is None:
                continue
            key = f"plot:{stop.tier.name}:{harvest.plot}"
            boxes[key] = Box(key, FIELD, *self.plot_words(harvest), stop.tier)
            arrows.append(Arrow(key, stop.key, stop.tier, kg_figure(harvest.fresh_mg)))
        return list(boxes.values()), arrows

    def plot_words(self, harvest: OriginShare) -> tuple[str, tuple[str, ...]]:
        """Return the title and the lines of a plot's box."""
        if not self.eyes.sees_plot(harvest.plot):
            return self.eyes.plot_words(harvest), (self.eyes.cultivar(harvest),)
        return harvest.plot, (harvest.plot_name, self.eyes.cultivar(harvest))

    def stop_box(self, stop: Stop) -> Box:
        """Return a stop as a box."""
        verdicts = [v for run in {*stop.runs, *stop.steps} for v in self.verdicts.get(run, ())]
        verdict = worst_of(verdicts) if verdicts else None
        return Box(stop.key, stop.column, stop.name, self.stop_lines(stop), stop.tier, verdict, scanned=stop.key == self.trace.own_key)

    def stop_lines(self, stop: Stop) -> tuple[str, ...]:
        """Return what a box says under its name."""
        first, last = (timezone.localtime(at).date() for at in (stop.first_at, stop.last_at))
        on = short_date_text(first, words.language())
        if stop.stage == "harvest":
            harvest = self.harvests.get(stop.steps[0])
            return (on, words.state_word(harvest.state)) if harvest and harvest.state != "conventional" else (on,)
        if stop.stage == "milling":
            pairs = ngettext("%(count)s pair", "%(count)s pairs", len(stop.machines)) % {"count": len(stop.machines)}
            return pairs, f"{first:%m-%d}–{last:%d}" if first.month == last.month else f"{first:%m-%d} – {last:%m-%d}"
        if stop.stage == "packing":
            return (on, *self.pack_lines(stop))
        width = (f"{stop.aperture_um}\u00a0µm",) if stop.aperture_um else ()
        return (*width, on, words.mass(stop.out_mg))

    def pack_lines(self, stop: Stop) -> tuple[str, ...]:
        """Return the packs of a packing run by kind."""
        return count_lines([(one, one.made_count) for one in self.trace.series if one.step in stop.steps])

    # Gone to ---------------------------------------------------------------------------------------------------------

    def gone(self) -> tuple[list[Box], list[Arrow]]:
        """Return the consignees, what is still here, and the arrows to them."""
        boxes, arrows = [], []
        series = {one.series: one for one in self.trace.series}
        groups: dict[tuple[str, str], list[Sent]] = defaultdict(list)
        for sent in self.trace.consignments:
            groups[self.packed_in(series[sent.series]), sent.consignee if self.eyes.sees_all else ""].append(sent)
        for (stop, consignee), sent_there in groups.items():
            lines = count_lines([(series[s.series], s.pack_count - s.returned_count) for s in sent_there])
            key = f"gone:{stop}:{consignee}"
            boxes.append(Box(key, GONE, self.gone_words(sent_there), lines, Tier.CONTAINS))
            arrows.append(Arrow(stop, key, Tier.CONTAINS))
        for stop, there in self.here().items():
            key = f"here:{stop}"
            boxes.append(Box(key, GONE, _("here"), count_lines([(one, one.here_count) for one in there]), there[0].tier))
            arrows.append(Arrow(stop, key, there[0].tier))
        return boxes, arrows

    def gone_words(self, sent: Sequence[Sent]) -> str:
        """Return a consignee's name; where consignees are not named, how many they are."""
        if self.eyes.sees_all:
            return self.eyes.consignee(sent[0])
        count = len({each.consignee for each in sent})
        return ngettext("%(count)s consignee", "%(count)s consignees", count) % {"count": count}

    def here(self) -> dict[str, list[SeriesTrace]]:
        """Return the series of which packs are still here, by the stop that packed them."""
        found: dict[str, list[SeriesTrace]] = defaultdict(list)
        for one in self.trace.series:
            if one.here_count > 0 and self.packed_in(one):
                found[self.packed_in(one)].append(one)
        return found

    def packed_in(self, series: SeriesTrace) -> str:
        """Return the key of the stop that packed a series."""
        return next((stop.key for stop in self.trace.stops if series.step in stop.steps), "")

    # Arrows and endings ----------------------------------------------------------------------------------------------

    def way_arrows(self) -> list[Arrow]:
        """Return the ways between stops, with kilograms and share."""
        by_key = {stop.key: stop for stop in self.trace.stops}
        order = [Tier.CONTAINS, Tier.TOUCHED, Tier.EXCLUDED]
        return [
            Arrow(way.source, way.target, max((by_key[way.source].tier, by_key[way.target].tier), key=order.index),
                  kg_figure(way.mass_mg), percent_text(way.share_frac, 1, words.language()))
            for way in self.trace.ways if way.source in by_key and way.target in by_key
        ]

    def touch_arrow(self, touched: Touched) -> Arrow:
        """Return a contact as an arrow; its bound stands at the end of the row, where there is room for words."""
        return Arrow(touched.earlier, touched.later, Tier.TOUCHED)

    def touch_ending(self, touched: Touched) -> Ending:
        """Return how much may have gone over at a contact, and where."""
        return Ending(touched.other, bound_words(touched.bound_mg), _("%(machines)s not cleaned in between") % {
            "machines": listed(touched.machines)}, barred=False)

    def shut_ending(self, excluded: Excluded) -> Ending:
        """Return what shuts a stop out."""
        machines = listed(dict.fromkeys(each.machine for each in excluded.cleaned))
        days = listed(dict.fromkeys(words.mill_day(each.happened_at) for each in excluded.cleaned))
        return Ending(excluded.other, _("stops here: %(machines)s cleaned") % {"machines": machines}, days, barred=True)


def as_drawn(sheet: LineageSheet) -> LineageSheet:
    """Return a sheet whose ways within one tier are solid: what went from stop to stop is recorded there too, only the contact
    is not."""
    tier_of = {box.key: box.tier for box in sheet.boxes}
    within = (replace(a, tier=Tier.CONTAINS) if tier_of[a.source] is tier_of[a.target] else a for a in sheet.arrows)
    return replace(sheet, arrows=tuple(within))


def without_ovens(sheet: LineageSheet) -> LineageSheet:
    """Return a sheet without the column of the oven, where every oven on it adds up and only hands on what it took; else the
    sheet itself. Seven columns fit on one sheet of paper, eight do not."""
    ovens = {box.key: box for box in sheet.boxes if box.column == OVEN}
    into = {arrow.target: arrow for arrow in sheet.arrows if arrow.target in ovens}
    out_of = {arrow.source: arrow for arrow in sheet.arrows if arrow.source in ovens}
    plain = sum(1 for a in sheet.arrows if a.target in ovens) == sum(1 for a in sheet.arrows if a.source in ovens) == len(ovens)
    alone = ovens.keys() == into.keys() == out_of.keys() and plain
    told = any(box.scanned or box.verdict not in {None, Verdict.ADDS_UP} for box in ovens.values())
    if len(sheet.columns) <= GONE or not ovens or not alone or told or any(ending.key in ovens for ending in sheet.endings):
        return sheet
    kept = [arrow for arrow in sheet.arrows if arrow.source not in ovens and arrow.target not in ovens]
    joined = [replace(out_of[key], source=into[key].source) for key in ovens]
    boxes = tuple(replace(box, column=box.column - (box.column > OVEN)) for box in sheet.boxes if box.key not in ovens)
    return replace(sheet, columns=(*sheet.columns[:OVEN], *sheet.columns[OVEN + 1 :]), boxes=boxes, arrows=(*kept, *joined))


def kg_figure(mass_mg: int) -> str:
    """Return kilograms without their unit, which the caption says: eight stages have to stand side by side on a sheet."""
    return number_text(mass_mg / MG_PER_KG, 0 if mass_mg >= FULL_MG else usual_places(mass_mg), language=words.language())


def bound_words(bound_mg: int | None) -> str:
    """Return the most that may have gone over."""
    if bound_mg is None:
        return _("nobody knows how much")
    return _("at most %(mass)s") % {"mass": kg_text(bound_mg, 2, words.language())}


def count_lines(counts: Iterable[tuple[SeriesTrace, int]]) -> tuple[str, ...]:
    """Return packs by kind, one line for each: "900 tins", "100 bags"."""
    by_kind: dict[str, int] = defaultdict(int)
    for series, number in counts:
        by_kind[series.pack] += number
    return tuple(f"{words.count(number)} {words.kind_word(kind, number)}" for kind, number in by_kind.items() if number)


def listed(parts: Iterable[str]) -> str:
    """Return names with commas between, the first few."""
    named = list(parts)
    return ", ".join(named[:6]) + (" …" if len(named) > 6 else "")

