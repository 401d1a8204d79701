"""A list of scanned samples: each pack is one, a lot stands for all that the book has of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from django.utils.translation import gettext as _

from lots.desk.forms.many import ScannedLine
from lots.desk.scanned import lot_code, lot_of
from lots.read.names import lot_name
from lots.record.keeping import Seen
from lots.trade.units import number_text


def seen_of(lines: Sequence[ScannedLine]) -> list[Seen]:
    """Return scanned lines as the recorder takes them, packs of one series together."""
    packs = Counter(lot_code(line.scanned) for line in lines if line.scanned.kind == "pack")
    lots = [Seen(lot_code(line.scanned), line.pack_count) for line in lines if line.scanned.kind != "pack"]
    return [*(Seen(lot, count) for lot, count in packs.items()), *lots]


def seen_words(lines: Sequence[ScannedLine]) -> str:
    """Return how many lines were scanned, and which of them nobody knows."""
    if not lines:
        return ""
    known = [lot for line in lines if (lot := lot_of(line.scanned)) is not None]
    unknown = [line.scanned.typed for line in lines if lot_of(line.scanned) is None]
    names = list(dict.fromkeys(lot_name(lot).name for lot in known))
    said = _("%(count)s lines: %(lots)s.") % {"count": number_text(len(lines), 0), "lots": _(", ").join(names)}
    return said if not unknown else _("%(said)s Nobody knows %(codes)s.") % {"said": said, "codes": _(", ").join(unknown)}
