"""What may go into a case: packs whose codes are proved, of one series, here, free, not stopped. All that may not is named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from lots.codes.lots import print_form
from lots.models import PackedUnit, SalesCase, SalesUnit
from lots.read.cases import bottom, case_named, cases_here, outer_of
from lots.read.holding import StandingHold, holds_on_lot
from lots.read.loose import Loose, loose
from lots.read.ranges import ranges_of
from lots.read.scanning import pack_scanned
from lots.read.series import AWAY
from lots.record.errors import Refused
from lots.record.leaving import Packs, series_named


@dataclass(frozen=True, slots=True)
class Filled:
    """What a case is filled with: the series, how many packs, and the fields of its parts."""

    unit: PackedUnit
    pack_count: int
    parts: tuple[dict[str, Any], ...]


def by_scan(kind: SalesUnit, scanned: Sequence[str]) -> Filled:
    """Return what was scanned into a case, or refuse with everything that does not belong in it."""
    return smaller_cases(kind, scanned) if kind.holds is not None else packs(kind, scanned)


def packs(kind: SalesUnit, scanned: Sequence[str]) -> Filled:
    """Return the packs that were scanned."""
    found: dict[int, str] = {}
    faults: list[str] = []
    unit: PackedUnit | None = None
    here: Loose | None = None
    held: list[StandingHold] = []
    for code in scanned:
        pack = pack_scanned(code)
        if pack is None:
            faults.append(_("%(code)s is no pack of ours: its code does not prove itself.") % {"code": code})
            continue
        if unit is None or here is None:
            unit = series_named(pack.lot, "scanned")
            here, held = loose(unit), holds_on_lot(unit.lot)
            refuse_product(kind, unit)
        name = _("Pack %(number)s of %(lot)s") % {"number": pack.pack_no, "lot": unit.lot}
        if pack.lot != unit.lot.code:
            other = series_named(pack.lot, "scanned").lot
            faults.append(_("Pack %(number)s is of lot %(other)s; this case holds lot %(lot)s.") % {
                "number": pack.pack_no, "other": other, "lot": unit.lot,
            })
        elif pack.pack_no in found:
            faults.append(_("%(pack)s was scanned twice.") % {"pack": name})
        else:
            faults += why_not(unit, here, held, pack.pack_no, name)
            found[pack.pack_no] = name
    if faults or unit is None:
        raise Refused(" ".join(faults), "scanned")
    parts = [{"pack_count": last - first + 1, "first_no": first, "last_no": last} for first, last in ranges_of(found)]
    return Filled(unit, len(found), tuple(parts))


def why_not(unit: PackedUnit, here: Loose, held: Sequence[StandingHold], pack_no: int, name: str) -> list[str]:
    """Return why a pack does not go into a case; nothing where it does."""
    if held:
        return [_("%(pack)s is stopped: %(reason)s.") % {"pack": name, "reason": held[0].reason.rstrip(".")}]
    if unit.retained:
        return [_("%(pack)s is a kept sample.") % {"pack": name}]
    fate = here.state.fate_of(pack_no)
    gone = {"dispatched": _("%(pack)s has gone out."), "destroyed": _("%(pack)s was destroyed."), "void": _("%(pack)s is void.")}
    if fate in AWAY:
        return [gone.get(fate, _("%(pack)s is not here any more.")) % {"pack": name}]
    case = here.case_in(pack_no, pack_no)
    if case is not None:
        return [_("%(pack)s lies in case %(case)s already.") % {"pack": name, "case": print_form(case[1])}]
    if here.waiting_in(pack_no, pack_no) is not None:
        return [_("%(pack)s came back and waits for the word of quality.") % {"pack": name}]
    return []


def smaller_cases(kind: SalesUnit, scanned: Sequence[str]) -> Filled:
    """Return the smaller cases that were scanned into a larger one."""
    found: dict[int, SalesCase] = {}
    faults: list[str] = []
    for code in scanned:
        case = case_named(code)
        if case is None:
            faults.append(_("%(code)s is no case of ours. %(kind)s holds %(inner)s: scan their labels.") % {
                "code": code, "kind": kind.name, "inner": kind.holds,
            })
            continue
        first = next(iter(found.values()), case)
        faults += why_not_case(kind, first, case) or ([] if case.step_id not in found else [
            _("Case %(case)s was scanned twice.") % {"case": print_form(case.code)}])
        found[case.step_id] = case
    if faults or not found:
        raise Refused(" ".join(faults), "scanned")
    parts = [{"pack_count": case.pack_count, "inner": case.step} for case in found.values()]
    return Filled(next(iter(found.values())).unit, sum(case.pack_count for case in found.values()), tuple(parts))


def why_not_case(kind: SalesUnit, first: SalesCase, case: SalesCase) -> list[str]:
    """Return why a smaller case does not go into a larger one; nothing where it does."""
    name = _("Case %(case)s") % {"case": print_form(case.code)}
    if kind.holds is not None and case.sales_unit.code != kind.holds.code:
        return [_("%(case)s is %(is)s; %(wanted)s goes in here.") % {"case": name, "is": case.sales_unit.name, "wanted": kind.holds.name}]
    if case.unit_id != first.unit_id:
        words = {"case": name, "other": case.unit.lot, "lot": first.unit.lot}
        return [_("%(case)s is of lot %(other)s; this case holds lot %(lot)s.") % words]
    held = holds_on_lot(case.unit.lot)
    if held:
        return [_("%(case)s is stopped: %(reason)s.") % {"case": name, "reason": held[0].reason.rstrip(".")}]
    if not cases_here().filter(pk=case.pk).exists():
        return [_("%(case)s is not closed here any more.") % {"case": name}]
    outer = outer_of(case.step_id)
    return [_("%(case)s lies in case %(outer)s already.") % {"case": name, "outer": print_form(outer.code)}] if outer else []


def by_count(kind: SalesUnit, counted: Packs | None) -> Filled:
    """Return packs that were counted into a case from one series; their numbers are not claimed unless typed."""
    if counted is None or counted.pack_count < 1:
        raise Refused(_("Nothing was scanned. Scan the packs of the case, or the label of their lot with the count."), "scanned")
    if kind.holds is not None:
        raise Refused(_("%(kind)s holds %(inner)s: scan their labels.") % {"kind": kind.name, "inner": kind.holds.name}, "scanned")
    unit = series_named(counted.lot, "scanned")
    refuse_product(kind, unit)
    here = loose(unit)
    name = _("Lot %(lot)s") % {"lot": unit.lot}
    first, count = counted.first_no, counted.pack_count
    numbers = range(first, first + count) if first is not None else range(0)
    faults = why_not(unit, here, holds_on_lot(unit.lot), 0, name)
    held = holds_on_lot(unit.lot)
    for no in numbers[:2048] if not faults else ():
        inside = unit.first_no <= no <= unit.last_no
        said = _("Pack %(number)s of %(lot)s") % {"number": no, "lot": unit.lot}
        faults += why_not(unit, here, held, no, said) if inside else [_("%(pack)s was never made.") % {"pack": said}]
    if not faults and count > here.free_count:
        faults = [_("%(count)s packs of %(lot)s were counted, and %(free)s are here outside of cases.") % {
            "count": count, "lot": unit.lot, "free": here.free_count,
        }]
    if faults:
        raise Refused(" ".join(faults[:12]), "scanned")
    last = first + count - 1 if first is not None else None
    return Filled(unit, count, ({"pack_count": count, "first_no": first, "last_no": last},))


def refuse_product(kind: SalesUnit, unit: PackedUnit) -> None:
    """Refuse packs of another product than the case is for."""
    wanted = bottom(kind)
    if unit.product.code != wanted:
        msg = _("%(lot)s is %(product)s; %(kind)s holds %(wanted)s.")
        raise Refused(msg % {"lot": unit.lot, "product": unit.product.code, "kind": kind.name, "wanted": wanted}, "scanned")
