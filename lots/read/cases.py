"""Cases: which are closed, what lies in each, and which packs of a series are bound in one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from lots.codes.lots import parse_lot_code
from lots.models import CaseOpening, CasePart, ConsignedCase, PackedUnit, SalesCase, SalesUnit, Step
from lots.read.names import lot_name, printed


@dataclass(frozen=True, slots=True)
class Cased:
    """A case: its step and code, what kind, the lot of its packs by name and code, how many, when it was closed."""

    step: int
    code: str
    kind: str
    kind_ja: str
    lot: str
    lot_code: str
    pack_count: int
    closed_at: dt.datetime

    @property
    def name(self) -> str:
        """The code as people read it."""
        return printed(self.code)


@dataclass(frozen=True, slots=True)
class Part:
    """Packs of a series in a case, by number (or None: by count only), with the code of the case that they lie in."""

    case: int
    code: str
    pack_count: int
    first_no: int | None
    last_no: int | None


def taken_back(step: str) -> Exists:
    """Return the condition that the step under a name was taken back."""
    return Exists(Step.objects.filter(corrects=OuterRef(step), part="reverse"))


def closed_cases() -> QuerySet[SalesCase]:
    """Return the cases that are closed, whether here or gone."""
    opened = CaseOpening.objects.filter(~taken_back("step"), case=OuterRef("step"))
    return SalesCase.objects.filter(~taken_back("step"), ~Exists(opened))


def cases_here() -> QuerySet[SalesCase]:
    """Return the closed cases that are in the house."""
    gone = ConsignedCase.objects.filter(~taken_back("step"), case=OuterRef("step"))
    return closed_cases().filter(~Exists(gone))


def case_named(text: str) -> SalesCase | None:
    """Return the case of a code in any spelling, standing or not."""
    code = parse_lot_code(text)
    rows = SalesCase.objects.select_related("sales_unit", "unit__lot__step", "unit__product", "step")
    return rows.filter(code=code).first() if code else None


def outer_of(case: int) -> SalesCase | None:
    """Return the closed case that a smaller one lies in."""
    holding = CasePart.objects.filter(inner=case).values("step")
    return closed_cases().filter(step__in=holding).first()


def parts_in(unit: PackedUnit, without: Collection[int] = ()) -> list[Part]:
    """Return the packs of a series that lie in cases here; cases of the steps ``without`` are left out."""
    here = cases_here().filter(unit=unit).exclude(step__in=list(without))
    codes = dict(here.values_list("step_id", "code"))
    rows = CasePart.objects.filter(step__in=codes, inner__isnull=True).order_by("pk")
    return [Part(row.step_id, codes[row.step_id], row.pack_count, row.first_no, row.last_no) for row in rows]


def leaf_parts(case: int) -> list[CasePart]:
    """Return the packs in a case and in the smaller cases within it."""
    found: list[CasePart] = []
    for part in CasePart.objects.filter(step=case).select_related("unit__lot").order_by("pk"):
        found += [part] if part.inner_id is None else leaf_parts(part.inner_id)
    return found


def with_inner(case: int) -> list[int]:
    """Return a case and all the smaller ones in it."""
    inner = CasePart.objects.filter(step=case, inner__isnull=False).order_by("pk").values_list("inner_id", flat=True)
    return [case, *(step for one in inner for step in with_inner(one))]


def case_of_pack(unit: PackedUnit, pack_no: int) -> tuple[Cased, ...]:
    """Return the closed cases that a pack lies in, the smallest first; none where only counts were written."""
    within = CasePart.objects.filter(unit=unit, first_no__lte=pack_no, last_no__gte=pack_no, inner__isnull=True)
    case = cased(closed_cases().filter(step__in=within.values("step")))
    found = list(case[-1:])
    while found and (outer := outer_of(found[-1].step)) is not None:
        found += cased(SalesCase.objects.filter(pk=outer.pk))
    return tuple(found)


def cased(rows: QuerySet[SalesCase]) -> list[Cased]:
    """Return cases as records, in order of record."""
    return [
        Cased(row.step_id, row.code, row.sales_unit.name, row.sales_unit.name_ja, lot_name(row.unit.lot).name, row.unit.lot.code,
              row.pack_count, row.step.happened_at)
        for row in rows.select_related("sales_unit", "unit__lot", "step").order_by("pk")
    ]


def packs_held(unit: SalesUnit) -> int:
    """Return how many packs a sales unit holds, through the smaller units in it."""
    return unit.held_count * (packs_held(unit.holds) if unit.holds is not None else 1)


def bottom(unit: SalesUnit) -> str:
    """Return the code of the product at the bottom of a sales unit."""
    if unit.holds is not None:
        return bottom(unit.holds)
    return unit.product.code if unit.product is not None else ""


def numbered(parts: Sequence[Part]) -> list[tuple[int, int, str]]:
    """Return the parts whose numbers are known, each with the code of its case."""
    return [(part.first_no, part.last_no, part.code) for part in parts if part.first_no is not None and part.last_no is not None]
