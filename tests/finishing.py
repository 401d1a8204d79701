"""What is done about packs beside filling them, as factories: check-weighing, labels, kept samples."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import factory

from lots.models import Lot, PackedUnit
from lots.record import checkweighing, keeping, labelling
from lots.record.acts import Receipt
from lots.record.keeping import Seen
from lots.record.labelling import Labels, Packaging
from lots.record.packing import Series
from tests import factories as make

Told = tuple[Callable[..., Receipt], dict[str, Any], dict[str, Any]]
#: Labels printed, on packs, spoiled, left, of twenty tins.
WHOLE = Labels(25, 20, 2, 3)
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
    labels = WHOLE


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
    LabelsCounted(lot=packed, marks=MARKS, packaging=[Packaging("TIN-77", 20, 1)], reason="Counted twice")
    Reprinted(lot=packed)
    Placed(lot=kept)
    Rounded(seen=[Seen(kept.code)])
    Disposed(lot=kept)


def due_samples() -> Lot:
    """Two samples whose time is over the day after packing."""
    make.enter("product", "T31", name="Tin, short", kind="tin", net_mg=30_000, keeps_days=1, sample_days=0)
    series = [Series("T31", 36, make.kg("1.105")), Series("T31", 2, make.kg("0.060"), retained=True)]
    return kept_lot(make.Packed(series=series))


def later() -> dt.datetime:
    """Three days on: the time of such samples is over."""
    return make.next_moment() + dt.timedelta(days=3)


# One ordinary act of each kind, and something else that could be typed in its place.


def weighing() -> Told:
    return checkweighing.weigh, {"lot": make.Packed().code, "readings_mg": FULL, "scale": "S3"}, {"readings_mg": FULL[1:]}


def counting_labels() -> Told:
    return labelling.count, {"lot": make.Packed().code, "label": enter_label(), "labels": WHOLE}, {"labels": Labels(26, 20, 2, 4)}


def printing_again() -> Told:
    return labelling.reprint, {"lot": make.Packed().code, "print_count": 2, "cause": "Smeared"}, {"print_count": 3}


def placing() -> Told:
    return keeping.place, {"lot": kept_lot().code, "place": "Shelf 4"}, {"place": "Shelf 5"}


def walking() -> Told:
    return keeping.walk_round, {"seen": [Seen(kept_lot().code)]}, {"seen": []}


def disposing() -> Told:
    asked = {"lot": due_samples().code, "pack_count": 1, "how": "composted", "witness": "C", "happened_at": later()}
    return keeping.dispose, asked, {"how": "burnt"}


ACTS = {
    "checkweighing.series": weighing, "labelling.count": counting_labels, "labelling.reprint": printing_again,
    "keeping.place": placing, "keeping.round": walking, "keeping.dispose": disposing,
}
