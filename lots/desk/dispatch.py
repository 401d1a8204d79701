"""Going out: packs leave the house. A promise: what is held, past its day or not here is refused."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from lots.codes.lots import print_form
from lots.codes.sale import parse_case_code, parse_order_code
from lots.desk.access import may
from lots.desk.forms.dispatch import DispatchForm
from lots.desk.forms.many import ScannedLine
from lots.desk.forms.packing import packs_of
from lots.desk.packing import packs_text
from lots.desk.recorded import Line, for_hands, step_line
from lots.desk.recording import ActView
from lots.desk.scanned import hold_words, left_words, lot_code
from lots.desk.words import joined, language
from lots.models import Consignment, PackMove, Party, SalesCase
from lots.read.cases import case_named
from lots.read.names import opened
from lots.read.ordering import order_named, orders_now
from lots.read.recent import Recent, recent
from lots.read.registers import in_force
from lots.read.scanning import lot_facts, lot_named, pack_scanned
from lots.read.waiting import SeriesHere, series_here
from lots.record import dispatch
from lots.record.acts import Act, Receipt
from lots.record.dispatch import Packs
from lots.record.errors import Refused
from lots.trade.units import date_text


class DispatchView(ActView):
    """A consignment."""

    form_class = DispatchForm
    template_name = "desk/dispatch.html"
    page = "dispatch"
    door = "today"

    def options(self) -> dict[str, Any]:
        """Return the consignees and payers by name."""
        buyers = parties("consignee")
        return {"consignees": buyers, "payers": list(dict([*buyers, *parties("bill-to")]).items())}

    def write(self, act: Act, form: DispatchForm) -> Receipt:
        """Send the packs out."""
        facts = form.cleaned_data
        return dispatch.consign(
            act, consignee=facts["consignee"], packs=ranges(facts["packs"]), cases=case_codes(facts["packs"]), order=form.order,
            bill_to=facts["bill_to"], document_no=facts["document_no"], carrier=facts["carrier"],
            carrier_contact=facts["carrier_contact"], recipient=facts["recipient"], ship_from=facts["ship_from"],
            least_c=facts["least_c"], most_c=facts["most_c"], happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: DispatchForm) -> str:
        """Return the read-back of the consignment."""
        counts = PackMove.objects.filter(step=receipt.step).values_list("pack_count", flat=True)
        party = Consignment.objects.select_related("consignee").get(pk=receipt.step).consignee
        who = opened([party.name]).get(party.name, party.code)
        return _("%(packs)s for %(who)s.") % {"packs": packs_text(sum(counts)), "who": who}

    def so_far(self, _form: DispatchForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which packs were scanned so far, and whether they may leave."""
        lines = facts.get("packs") or ()
        try:
            found, cases = ranges(lines), cases_scanned(lines)
        except Refused as answer:
            return {"reads": {"packs": answer.sentence}}
        count = sum(one.pack_count for one in found) + sum(case.pack_count for case in cases)
        last = packs_words(found) if found or not cases else case_words(cases[-1])
        asked = order_words(lines)
        so_far = _("%(packs)s so far.") % {"packs": packs_text(count)} if count else ""
        return {"reads": {"packs": joined((asked, last))}, "say": so_far}

    def context(self) -> dict[str, Any]:
        """Return the series that are here, and the last consignments."""
        sent = consignments(recent("dispatch", ("consignment",)))
        return {
            "ready": [series_line(series) for series in series_here()],
            "forgets": may(self.request.user, "dispatch-forget"),
            "sent": for_hands(sent, may_correct=may(self.request.user, "corrections-adjust")),
        }


def series_line(series: SeriesHere) -> Line:
    """Return a series that may leave as an entry; its link puts the lot into the scan line, the count is typed behind it."""
    what = _("%(lot)s, %(kind)s.") % {"lot": series.name, "kind": packs_of(series).lower()}
    sentence = _("%(packs)s here, best before %(day)s.") % {
        "packs": packs_text(series.here_count), "day": date_text(series.best_before_on, language()),
    }
    at = timezone.make_aware(dt.datetime.combine(series.packed_on, dt.time()))
    return Line(at, what, sentence, f"{reverse('dispatch')}?{urlencode({'packs': series.code})}", _("Send some out"), day_only=True)


def parties(role: str) -> list[tuple[str, str]]:
    """Return code and name of the parties with a role; a name that was erased is its code."""
    rows = [row for row in in_force(Party) if role in row.roles.split()]
    names = opened(row.name for row in rows)
    return [(row.code, names.get(row.name, row.code)) for row in rows]


def case_codes(lines: Iterable[ScannedLine]) -> list[str]:
    """Return the codes of the cases among what was scanned."""
    return [line.scanned.code for line in lines if parse_case_code(line.scanned.code)]


def cases_scanned(lines: Iterable[ScannedLine]) -> list[SalesCase]:
    """Return the cases among what was scanned, as far as the book knows them."""
    return [case for code in case_codes(lines) if (case := case_named(code)) is not None]


def case_words(case: SalesCase) -> str:
    """Return what lies in a case that was scanned."""
    words = {"case": print_form(case.code), "packs": packs_text(case.pack_count), "lot": case.unit.lot}
    return _("Case %(case)s: %(packs)s of %(lot)s.") % words


def order_words(lines: Iterable[ScannedLine]) -> str:
    """Return what the order that was scanned still asks for."""
    code = next((line.scanned.code for line in lines if parse_order_code(line.scanned.code)), "")
    row = order_named(code) if code else None
    if row is None:
        return _("No order %(code)s was taken.") % {"code": print_form(code)} if code else ""
    order = orders_now([row])[0]
    left = _(", ").join(f"{packs_text(line.open_count)} {line.product}" for line in order.lines if line.open_count)
    who = opened([order.ship_to_name]).get(order.ship_to_name, order.ship_to)
    said = _("Order %(order)s for %(who)s: %(left)s still to go.") if left else _("Order %(order)s for %(who)s: nothing is still to go.")
    return said % {"order": order.name, "who": who, "left": left}


@dataclass(frozen=True, slots=True)
class _One:
    """One pack that was scanned by its own code."""

    lot: str
    pack_no: int


def ranges(lines: Iterable[ScannedLine]) -> list[Packs]:
    """Return what was scanned as the recorder takes it: packs in a row become one range."""
    whole: list[Packs] = []
    numbers: dict[str, list[int]] = defaultdict(list)
    for line in lines:
        if parse_case_code(line.scanned.code) or parse_order_code(line.scanned.code):
            continue
        one = single(line)
        if one is not None:
            numbers[one.lot].append(one.pack_no)
        else:
            whole.append(counted(line))
    return [*whole, *(packs for lot, found in numbers.items() for packs in runs_of_numbers(lot, sorted(set(found))))]


def single(line: ScannedLine) -> _One | None:
    """Return the pack of a line, None where a lot's label was scanned."""
    if line.scanned.kind != "pack":
        return None
    pack = pack_scanned(line.scanned.code)
    if pack is None:
        raise Refused(_("No pack %(code)s was made here. Look at the label.") % {"code": line.scanned.typed}, "packs")
    return _One(pack.lot, pack.pack_no)


def counted(line: ScannedLine) -> Packs:
    """Return the packs of a lot's label with their count or numbers."""
    if line.pack_count is None:
        msg = _("How many packs of %(lot)s? Type the count behind its code: %(lot)s 24.")
        raise Refused(msg % {"lot": line.scanned.typed}, "packs")
    return Packs(lot_code(line.scanned), line.pack_count, line.first_no)


def runs_of_numbers(lot: str, numbers: Sequence[int]) -> list[Packs]:
    """Return numbers as ranges: 4, 5, 6, 9 are three from 4 and one from 9."""
    found: list[Packs] = []
    for number in numbers:
        last = found[-1] if found else None
        if last is not None and last.first_no is not None and last.first_no + last.pack_count == number:
            found[-1] = Packs(lot, last.pack_count + 1, last.first_no)
        else:
            found.append(Packs(lot, 1, number))
    return found


def packs_words(found: Sequence[Packs]) -> str:
    """Return the last series that was scanned: what it is, what stops it, how many are here."""
    lot = lot_named(found[-1].lot) if found else None
    if lot is None:
        return _("No lot %(code)s is in the book.") % {"code": found[-1].lot} if found else ""
    facts = lot_facts(lot)
    return joined((_("Lot %(lot)s.") % {"lot": facts.name}, hold_words(facts), left_words(facts)))


def consignments(steps: list[Recent]) -> Sequence[Line]:
    """Return consignments as entries: how many packs, for whom, under which document."""
    ids = [step.step for step in steps]
    rows = Consignment.objects.filter(pk__in=ids).select_related("consignee")
    sent = {row.pk: row for row in rows}
    names = opened(row.consignee.name for row in sent.values())
    counts: dict[int, int] = defaultdict(int)
    for step, count in PackMove.objects.filter(step__in=ids).values_list("step_id", "pack_count"):
        counts[step] += count
    return [sent_line(step, sent[step.step], names, counts[step.step]) for step in steps]


@dataclass(frozen=True, slots=True)
class SentLine(Line):
    """A consignment as an entry, with the way to its delivery slip."""

    slip_url: str = ""


def sent_line(step: Recent, row: Consignment, names: dict[str, str], count: int) -> SentLine:
    """Return one consignment as an entry."""
    who = names.get(row.consignee.name, row.consignee.code)
    what = _("%(packs)s for %(who)s.") % {"packs": packs_text(count), "who": who}
    lots = _(", ").join(dict.fromkeys(line.lot for line in step.lines))
    note = _("Delivery note %(number)s.") % {"number": row.document_no} if row.document_no else ""
    line = step_line(step, what, joined([_("%(what)s.") % {"what": lots}, note]))
    return SentLine(**asdict(line), slip_url=reverse("dispatch-file", args=[step.step]))
