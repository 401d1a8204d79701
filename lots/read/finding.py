"""What somebody scanned or typed: a lot's label, a pack, or the maker's own reference; else where such words stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from lots.codes.links import code_from_scan
from lots.codes.lots import parse_lot_code
from lots.codes.packs import belongs, split
from lots.models import Lot, PackedUnit, PackSecret
from lots.read.cases import case_named, case_of_pack


class Kind(StrEnum):
    """What the text turned out to be."""

    LOT = "lot"
    REFERENCE = "reference"
    PACK = "pack"
    CASE = "case"
    SEVERAL = "several"
    FALSE_PACK = "false pack"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Found:
    """The lots that a text names (all of one step), or those to choose from where it is ``SEVERAL``. ``cases`` are the codes of
    the closed cases that a pack lies in, or of the case that was scanned, the smallest first."""

    kind: Kind
    lots: tuple[Lot, ...] = ()
    run_no: int | None = None
    pack_no: int | None = None
    cases: tuple[str, ...] = ()

    @property
    def sure(self) -> bool:
        """Whether it names the lots of one step."""
        return bool(self.lots) and self.kind is not Kind.SEVERAL


def find(text: str) -> Found:
    """Return what a scanned or typed text names."""
    code = code_from_scan(text)
    if code is not None and parse_lot_code(code) == code:
        lots = by_code(code)
        if lots:
            return Found(Kind.LOT, tuple(lots))
        case = case_named(code)
        if case is not None:
            return Found(Kind.CASE, (case.unit.lot,), cases=(case.code,))
    elif code is not None:
        return find_pack(code)
    return by_reference(text.strip())


def by_code(code: str) -> list[Lot]:
    """Return the lot of a folded code."""
    return list(Lot.objects.select_related("step").filter(code=code))


def find_pack(code: str) -> Found:
    """Return the series' lot of a pack code whose sign is right; what no run of ours gave out is told apart."""
    parts = split(code)
    if parts is None:
        return Found(Kind.UNKNOWN)
    secret = PackSecret.objects.filter(pk=parts.run_no).values_list("secret", flat=True).first()
    within = PackedUnit.objects.filter(run_no=parts.run_no, first_no__lte=parts.pack_no, last_no__gte=parts.pack_no)
    unit = within.select_related("lot__step").first()
    if unit is None or secret is None or not belongs(parts, bytes(secret)):
        return Found(Kind.FALSE_PACK)
    cases = tuple(case.code for case in case_of_pack(unit, parts.pack_no))
    return Found(Kind.PACK, (unit.lot,), parts.run_no, parts.pack_no, cases)


def by_reference(text: str) -> Found:
    """Return the lots that carry the maker's own reference; where several steps used it, all of them to choose from."""
    if not text:
        return Found(Kind.UNKNOWN)
    rows = Lot.objects.select_related("step").order_by("pk")
    lots: Sequence[Lot] = rows.filter(maker_ref=text) or rows.filter(maker_ref__iexact=text)
    if not lots:
        return Found(Kind.UNKNOWN)
    several = len({lot.step_id for lot in lots}) > 1
    return Found(Kind.SEVERAL if several else Kind.REFERENCE, tuple(lots))
