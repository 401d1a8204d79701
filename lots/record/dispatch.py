"""Going out: packs leave for a consignee. What is held, fetched back, past its day or not here cannot be promised."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import ConsignedCase, Consignment, Party, Step
from lots.read.cases import leaf_parts, outer_of, with_inner
from lots.record.acts import act
from lots.record.casing import standing_case
from lots.record.errors import Refused
from lots.record.leaving import Packs, draw_share, send
from lots.record.lines import Lines
from lots.record.ordering import standing_order
from lots.record.owning import refuse_goods_of_others
from lots.record.parcels import Parcel, send_round
from lots.record.release_checks import refuse_unreleased
from lots.record.serving import ask_for_no_more
from lots.record.writing import Writing

__all__ = ["Packs", "Parcel", "consign", "parcels"]


@act("dispatch.consignment")
def consign(
    w: Writing,
    *,
    consignee: str = "",
    packs: Sequence[Packs] = (),
    cases: Sequence[str] = (),
    order: str = "",
    bill_to: str = "",
    document_no: str = "",
    carrier: str = "",
    carrier_contact: str = "",
    recipient: str = "",
    ship_from: str = "",
    least_c: Decimal | None = None,
    most_c: Decimal | None = None,
    happened_at: dt.datetime | None = None,
) -> None:
    """Record packs and whole cases that leave for one consignee under one document, perhaps for an order."""
    if not packs and not cases:
        raise Refused(_("Scan the packs that go out, at least one."), "packs")
    if least_c is not None and most_c is not None and least_c > most_c:
        msg = _("The temperature promised runs backwards: %(least)s to %(most)s °C.")
        raise Refused(msg % {"least": least_c, "most": most_c}, "least_c")
    asked = standing_order(order) if order else None
    party = w.in_force(Party, consignee or (asked.ship_to.code if asked else ""), "parties", "consignee")
    if asked is not None and party.code != asked.ship_to.code:
        msg = _("Order %(order)s goes to %(wanted)s, not to %(party)s.")
        raise Refused(msg % {"order": order, "wanted": asked.ship_to.code, "party": party.code}, "consignee")
    payer = bill_to or (asked.bill_to.code if asked and asked.bill_to else "")
    step = w.step("dispatch", "consignment", happened_at)
    day = timezone.localtime(step.happened_at).date()
    lines = Lines(w, step)
    whole = [(found, in_case) for found in cases_of(cases) for in_case in [with_inner(found)]]
    leaving = {inner for _found, steps in whole for inner in steps}
    sent = []
    for found, steps in whole:
        sent += [send(w, step, Packs(p.unit.lot.code, p.pack_count, p.first_no), day, leaving) for p in leaf_parts(found)]
        for inner in steps:
            w.add(ConsignedCase(step=step, case=Step.objects.get(pk=inner)))
    sent += [send(w, step, one, day, leaving) for one in packs]
    if asked is not None:
        ask_for_no_more(w, asked)
    refuse_goods_of_others(sent, party)
    refuse_unreleased(sent, party)
    for unit in {unit.pk: unit for unit in sent}.values():
        draw_share(w, lines, unit)
    w.add(Consignment(
        step=step, consignee=party, bill_to=w.in_force(Party, payer, "parties", "bill_to") if payer and payer != party.code else None,
        order=asked.step if asked else None, document_no=document_no.strip(), carrier=carrier.strip(),
        carrier_contact=w.seal(carrier_contact), recipient=w.seal(recipient), ship_from=ship_from.strip(), least_c=least_c, most_c=most_c,
    ))


def cases_of(codes: Sequence[str]) -> list[int]:
    """Return the steps of the cases that leave, each once; a case within another leaves with that one."""
    found: list[int] = []
    for code in codes:
        case = standing_case(code, "packs")
        outer = outer_of(case.step_id)
        if outer is not None:
            msg = _("Case %(case)s lies in case %(outer)s. Scan that one, or open it first.")
            raise Refused(msg % {"case": case.code, "outer": outer.code}, "packs")
        found.append(case.step_id)
    return list(dict.fromkeys(found))


@act("dispatch.parcel")
def parcels(
    w: Writing,
    *,
    consignee: str,
    parcels: Sequence[Parcel],
    carrier: str = "",
    carrier_contact: str = "",
    document_no: str = "",
    happened_at: dt.datetime | None = None,
) -> None:
    """Record a round of parcels, one for each subscriber, in one act: all of them or none."""
    send_round(
        w, consignee, parcels, happened_at, carrier=carrier.strip(), carrier_contact=carrier_contact, document_no=document_no.strip(),
    )
