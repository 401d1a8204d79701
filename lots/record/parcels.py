"""A round of parcels to subscribers: one act, one step a parcel, packs given out in order of their day, then of their number."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import Consignment, PackedUnit, PackMove, Party, Product
from lots.read.holding import holds_on_lot
from lots.read.loose import Loose, loose
from lots.record.errors import Refused
from lots.record.leaving import Packs, draw_share, move
from lots.record.lines import Lines
from lots.record.owning import refuse_goods_of_others
from lots.record.release_checks import refuse_unreleased
from lots.record.writing import Writing

PARCELS_MOST = 500
FAULTS_SAID = 20


@dataclass(frozen=True, slots=True)
class Parcel:
    """One parcel as the desk gives it: to whom, where, how to reach them, and what is in it."""

    name: str
    address: str
    mail: str
    product: str
    pack_count: int


class Shelf:
    """The packs of one product that may go, taken in order."""

    def __init__(self, product: str, day: dt.date) -> None:
        rows = PackedUnit.objects.filter(product__code=product, retained=False, best_before_on__gte=day)
        units = rows.select_related("lot", "product").order_by("best_before_on", "pk")
        self.left: list[tuple[PackedUnit, list[list[int]] | None, int]] = []
        for unit in units:
            here = loose(unit)
            if here.free_count > 0 and not holds_on_lot(unit.lot):
                self.left.append((unit, numbers(here), here.free_count))

    def take(self, count: int) -> list[tuple[PackedUnit, Packs]]:
        """Return the next packs, or nothing where too few are here."""
        if count > sum(free for _unit, _ranges, free in self.left):
            return []
        taken: list[tuple[PackedUnit, Packs]] = []
        while count:
            unit, ranges, free = self.left[0]
            some = min(count, free)
            if ranges is None:
                taken.append((unit, Packs(unit.lot.code, some)))
            else:
                some = min(some, ranges[0][1] - ranges[0][0] + 1)
                taken.append((unit, Packs(unit.lot.code, some, ranges[0][0])))
                ranges[0][0] += some
                if ranges[0][0] > ranges[0][1]:
                    ranges.pop(0)
            count -= some
            self.left[0] = (unit, ranges, free - some)
            if free == some:
                self.left.pop(0)
        return taken


def numbers(here: Loose) -> list[list[int]] | None:
    """Return the free numbers of a series; None where some left by count only, so that no number can be promised."""
    return [[first, last] for first, last in here.free_ranges()] if here.all_numbered else None


def send_round(
    w: Writing, consignee: str, parcels: Sequence[Parcel], happened_at: dt.datetime | None, *, carrier: str, carrier_contact: str,
    document_no: str,
) -> None:
    """Write a round, all or nothing."""
    if not parcels:
        raise Refused(_("The list is empty. One parcel a line: name, address, mail, product, count."), "parcels")
    if len(parcels) > PARCELS_MOST:
        msg = _("%(count)s parcels are too many for one act; %(most)s fit.")
        raise Refused(msg % {"count": len(parcels), "most": PARCELS_MOST}, "parcels")
    day = timezone.localtime(w.at(happened_at)).date()
    shelves = {code: Shelf(code, day) for code in {one.product for one in parcels}}
    given = given_out(parcels, shelves)
    party = w.in_force(Party, consignee, "parties", "consignee")
    refuse_goods_of_others([unit for packs in given for unit, _some in packs], party)
    refuse_unreleased([unit for packs in given for unit, _some in packs], party)
    contact = w.seal(carrier_contact)
    first: int | None = None
    for one, packs in zip(parcels, given, strict=True):
        step = w.step("dispatch", "parcel", happened_at)
        first = first or step.pk
        for unit, some in packs:
            move(w, step, unit, some, PackMove.Fate.DISPATCHED)
        for unit in {unit.pk: unit for unit, _some in packs}.values():
            draw_share(w, Lines(w, step), unit)
        whom = {key: value.strip() for key, value in asdict(one).items() if key in {"name", "address", "mail"} and value.strip()}
        w.add(Consignment(
            step=step, consignee=party, document_no=document_no, carrier=carrier, carrier_contact=contact, recipient=w.seal(whom),
        ))
    w.step_id = first


def given_out(parcels: Sequence[Parcel], shelves: Mapping[str, Shelf]) -> list[list[tuple[PackedUnit, Packs]]]:
    """Return the packs of each parcel, or refuse with every row that cannot go."""
    known = set(Product.objects.filter(code__in=list(shelves)).values_list("code", flat=True))
    given: list[list[tuple[PackedUnit, Packs]]] = []
    faults: list[str] = []
    for row, one in enumerate(parcels, 1):
        said = fault_of(one, known)
        packs = [] if said else shelves[one.product].take(one.pack_count)
        if not said and not packs:
            said = _("not enough packs of %(product)s that may go are here") % {"product": one.product}
        if said:
            faults.append(_("Row %(row)s (%(name)s): %(fault)s.") % {"row": row, "name": one.name.strip() or "–", "fault": said})
        given.append(packs)
    if faults:
        more = len(faults) - FAULTS_SAID
        tail = [_("And %(count)s rows more.") % {"count": more}] if more > 0 else []
        raise Refused(" ".join([_("Nothing was sent."), *faults[:FAULTS_SAID], *tail]), "parcels")
    return given


def fault_of(one: Parcel, known: set[str]) -> str:
    """Return what is wrong with one row by itself."""
    if not one.name.strip():
        return _("no name")
    if not one.address.strip():
        return _("no address")
    if one.product not in known:
        return _("no product %(product)s in the register") % {"product": one.product or "–"}
    return _("a count of at least one is wanted") if one.pack_count < 1 else ""
