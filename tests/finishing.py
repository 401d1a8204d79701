"""What is done about packs beside filling them, as factories: check-weighing, labels, kept samples."""

from __future__ import annotations

from typing import Any

import factory

from lots.models import Lot, PackedUnit
from lots.record import checkweighing, keeping, labelling
from lots.record.keeping import Seen
from lots.record.labelling import Labels
from tests import factories as make

#: Marks taken out, on packs, spoiled, left.
MARKS = Labels(21, 20, 1, 0)
FULL = tuple(30_200 + 10 * (n % 5) for n in range(12))
#: A label of the tins of the small mill that promises nothing too much.
TIN_LABEL: dict[str, Any] = {
    "product": "T30", "name": "Powdered green tea", "ingredients": "green tea", "origin": "Small valley", "net_mg": 30_000, "keeps_days": 183,
    "storage": "cool and dark", "business": "Small mill, 1 Mill lane", "checked_by": "C",
}


def enter_label(code: str = "L30", **other: Any) -> str:
    """Enter a label and return its code."""
    make.enter("label_version", code, **{**TIN_LABEL, **other})
    return code


class CheckWeighed(make.Recorded):
    """Twelve tins of a series of twenty."""

    _record = staticmethod(checkweighing.weigh)
    lot = factory.SubFactory(make.Packed)
    readings_mg = FULL
    scale = "S3"


class LabelsCounted(make.Recorded):
    """The labels of a series of twenty tins: all accounted for."""

    _record = staticmethod(labelling.count)
    lot = factory.SubFactory(make.Packed)
    label = factory.LazyFunction(enter_label)
    labels = Labels(25, 20, 2, 3)


class Reprinted(make.Recorded):
    _record = staticmethod(labelling.reprint)
    lot = factory.SubFactory(make.Packed)
    print_count = 2
    cause = "The printer smeared"


def kept_lot(packed: Lot | None = None) -> Lot:
    """The two kept samples of a packing run."""
    run = packed or make.Packed()
    return PackedUnit.objects.get(step=run.step_id, retained=True).lot


class Placed(make.Recorded):
    _record = staticmethod(keeping.place)
    lot = factory.LazyFunction(kept_lot)
    place = "Cold room, shelf 4"


class Rounded(make.Recorded):
    """A round that meets both samples."""

    _record = staticmethod(keeping.walk_round)
    seen = factory.LazyFunction(lambda: [Seen(kept_lot().code)])


class Disposed(make.Recorded):
    """One sample thrown away, before its time: with a reason."""

    _record = staticmethod(keeping.dispose)
    badge = "C"
    reason = "The box was crushed"
    lot = factory.LazyFunction(kept_lot)
    pack_count = 1
    how = "composted"
    witness = "A"


def finish(packed: Lot) -> None:
    """Everything that is done about the packs of a run of twenty tins, five bags and two kept samples."""
    kept = kept_lot(packed)
    enter_label("L100", product="B100", net_mg=100_000)
    CheckWeighed(lot=packed)
    LabelsCounted(lot=packed, marks=MARKS, reason="Counted twice")
    Reprinted(lot=packed)
    Placed(lot=kept)
    Rounded(seen=[Seen(kept.code)])
    Disposed(lot=kept)
