"""Labels and marks of a series are counted when its packing is closed; labels that are printed once more have a reason."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from lots.models import LabelCount, LabelReprint, LabelVersion, PackagingUsed, PackedUnit, Step
from lots.quality.label_words import ORGANIC
from lots.read.balances import not_taken_back
from lots.read.label_words import label_findings, leaf_of
from lots.read.packaging import PackagingStock, packaging_lots, same_packaging
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.series import find_series
from lots.record.words import language
from lots.record.writing import Writing


@dataclass(frozen=True, slots=True)
class Labels:
    """Labels, or organic marks, as a hand counted them: printed or taken out, on packs, spoiled, left."""

    printed_count: int
    applied_count: int
    spoiled_count: int
    left_count: int

    @property
    def unexplained_count(self) -> int:
        """How many are not accounted for; negative: more are there than were printed."""
        return self.printed_count - self.applied_count - self.spoiled_count - self.left_count


@dataclass(frozen=True, slots=True)
class Packaging:
    """What was taken of one packaging lot: its code, how many are packs now, how many were spoiled."""

    code: str
    used_count: int
    spoiled_count: int = 0


@act("labelling.count")
def count(
    w: Writing,
    *,
    lot: str,
    label: str,
    labels: Labels,
    marks: Labels | None = None,
    packaging: Sequence[Packaging] = (),
    happened_at: dt.datetime | None = None,
) -> None:
    """Record the labels of one series, its organic marks where there were any, and the packaging lots that went into it.
    What does not close is asked about."""
    unit = find_series(lot)
    step = w.step("labelling", "count", happened_at)
    words = w.in_force(LabelVersion, label, "labels", "label")
    refuse_below_nothing(labels, marks)
    ask_about_label(w, unit, words)
    ask_about_counts(w, unit, labels)
    if marks is not None:
        ask_about_marks(w, unit, marks)
    add_packaging(w, step, packaging)
    w.touch(unit.lot)
    taken = {"marks_taken_count": marks.printed_count, "marks_applied_count": marks.applied_count,
             "marks_spoiled_count": marks.spoiled_count, "marks_left_count": marks.left_count} if marks else {}
    w.add(LabelCount(
        step=step, unit=unit, label=words, printed_count=labels.printed_count, applied_count=labels.applied_count,
        spoiled_count=labels.spoiled_count, left_count=labels.left_count, **taken,
    ))


@act("labelling.reprint")
def reprint(w: Writing, *, lot: str, print_count: int, cause: str, happened_at: dt.datetime | None = None) -> None:
    """Record labels of a series that were printed once more."""
    unit = find_series(lot)
    if print_count < 1:
        raise Refused(_("How many labels were printed again? At least one."), "print_count")
    if not cause.strip():
        raise Refused(_("Say why labels were printed again."), "cause")
    step = w.step("labelling", "reprint", happened_at)
    w.touch(unit.lot)
    w.add(LabelReprint(step=step, unit=unit, print_count=print_count, cause=cause.strip()))


def add_packaging(w: Writing, step: Step, packaging: Sequence[Packaging]) -> None:
    """Add what was taken of each packaging lot, every code once."""
    came = packaging_lots() if packaging else []
    for code in dict.fromkeys(one.code.strip() for one in packaging):
        of_code = [one for one in packaging if one.code.strip() == code]
        used, spoiled = sum(one.used_count for one in of_code), sum(one.spoiled_count for one in of_code)
        if not code:
            raise Refused(_("Scan the label of the packaging, or type its lot."), "packaging")
        if min(used, spoiled) < 0 or not used + spoiled:
            raise Refused(_("How many of packaging %(code)s were taken? At least one.") % {"code": code}, "packaging")
        ask_about_packaging(w, code, used + spoiled, came)
        w.add(PackagingUsed(step=step, code=code, used_count=used, spoiled_count=spoiled))


def ask_about_packaging(w: Writing, code: str, count: int, came: Sequence[PackagingStock]) -> None:
    """Ask about packaging that never came in, or of which more is taken than is left; a house that takes none in is not asked."""
    lot = next((one for one in came if same_packaging(one.code, code)), None)
    if came and lot is None:
        w.question(_("No packaging %(code)s was taken in. Scan its label again.") % {"code": code}, "packaging")
    if lot is not None and count > lot.left_count:
        msg = _("Of packaging %(code)s %(left)s are left by the book, and %(count)s are taken. Count again.")
        w.question(msg % {"code": lot.code, "left": lot.left_count, "count": count}, "packaging")


def refuse_below_nothing(*counted: Labels | None) -> None:
    """Refuse counts below nothing."""
    for one in counted:
        if one and min(one.printed_count, one.applied_count, one.spoiled_count, one.left_count) < 0:
            raise Refused(_("A count cannot be below nothing."), "printed_count")


def ask_about_label(w: Writing, unit: PackedUnit, label: LabelVersion) -> None:
    """Ask about a label of another product, words that the packs do not bear out, and a series that was counted before."""
    if label.product.code != unit.product.code:
        msg = _("Label %(label)s is for %(product)s, and these packs are %(packs)s. Look at the roll.")
        w.question(msg % {"label": label.code, "product": label.product.code, "packs": unit.product.code}, "label")
    else:
        for finding in label_findings(label, unit):
            w.question(finding.text(language()), "label")
    stand = Step.objects.filter(not_taken_back(), stage="labelling", part="count").values("pk")
    if LabelCount.objects.filter(unit=unit, step__in=stand).exists():
        w.question(_("The labels of this series were counted before. Was it another series?"), "lot")


def ask_about_counts(w: Writing, unit: PackedUnit, labels: Labels) -> None:
    """Ask where printed labels are not all accounted for, or not every pack has one."""
    if labels.unexplained_count:
        msg = _("Printed %(printed)s; on packs, spoiled and left make %(found)s: a difference of %(differ)s. Count again.")
        found = labels.printed_count - labels.unexplained_count
        w.question(msg % {"printed": labels.printed_count, "found": found, "differ": f"{labels.unexplained_count:+d}"}, "printed_count")
    if labels.applied_count != unit.pack_count:
        msg = _("%(applied)s labels are on packs, and the series holds %(packs)s packs.")
        w.question(msg % {"applied": labels.applied_count, "packs": unit.pack_count}, "applied_count")


def ask_about_marks(w: Writing, unit: PackedUnit, marks: Labels) -> None:
    """Ask where organic marks do not close, are not one a pack, or stand on leaf that is not all certified."""
    if marks.unexplained_count:
        msg = _("Organic marks taken out %(taken)s; on packs, spoiled and left make %(found)s: a difference of %(differ)s. Count again.")
        found = marks.printed_count - marks.unexplained_count
        w.question(msg % {"taken": marks.printed_count, "found": found, "differ": f"{marks.unexplained_count:+d}"}, "marks_taken_count")
    if marks.applied_count != unit.pack_count:
        msg = _("%(applied)s organic marks are on packs, and the series holds %(packs)s packs.")
        w.question(msg % {"applied": marks.applied_count, "packs": unit.pack_count}, "marks_applied_count")
    if marks.applied_count and any(one.state != ORGANIC for one in leaf_of(unit.step_id)):
        msg = _("Organic marks are on these packs, and not all of their leaf is known to be from certified plots.")
        w.question(msg, "marks_applied_count")
