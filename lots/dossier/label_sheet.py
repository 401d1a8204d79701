"""Sheets of labels at their true size: packs of a series, each with its own address; lots with their code.

A sheet is A4 with three columns of eight labels, 70 mm by 33.9 mm (common practice, no source). The symbols are drawn by
`symbols`, the words set by the template; both count from the same measures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.conf import settings
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from lots.codes.errors import CodeError
from lots.codes.links import pack_address
from lots.codes.packs import print_form
from lots.codes.symbols import qr_modules
from lots.dossier import words
from lots.dossier.faults import PaperFault
from lots.dossier.frames import house_name
from lots.dossier.pdf import Head, paper
from lots.dossier.symbols import Symbol, SymbolFinisher
from lots.read.labelling import LotFace, SeriesFace, codes_of, void_among
from lots.read.paper_heads import paper_head

COLUMN_COUNT, ROW_COUNT = 3, 8
PER_SHEET = COLUMN_COUNT * ROW_COUNT
WIDTH_MM, HEIGHT_MM, TOP_MM = 70.0, 33.9, 12.9
#: The symbol's corner within its label, and its square with the quiet zone.
INSET_MM, DROP_MM, SYMBOL_MM = 3.0, 1.6, 24.0
LABELS_MAX = 240


@dataclass(frozen=True, slots=True)
class Label:
    """One label: what its symbol carries, the word of its stage, its code in groups, and its lines of words."""

    carries: str
    stage: str
    code: str
    lines: tuple[str, ...]


def pack_sheet(face: SeriesFace, first_no: int, last_no: int, begin_at: int = 1) -> bytes:
    """Return the labels of packs ``first_no`` to ``last_no`` of a series as PDF; the first stands at place ``begin_at`` of
    the first sheet (1 to 24). Raises PaperFault."""
    refuse_range(face, first_no, last_no)
    codes = codes_of(face, first_no, last_no)
    if codes is None:
        raise PaperFault(_("The secret of run %(run)s was erased, so the codes of its packs cannot be made again.") % {"run": face.run_no})
    title = _("Labels of %(lot)s, packs %(first)s to %(last)s") % {
        "lot": face.lot, "first": first_no, "last": last_no,
    }
    return sheets(title, [pack_label(face, number, code) for number, code in codes], begin_at)


def lot_sheet(faces: Sequence[LotFace], begin_at: int = 1) -> bytes:
    """Return one label for each lot as PDF. Raises PaperFault."""
    if not faces:
        raise PaperFault(_("No lot was named. Scan a lot, or type its code."))
    refuse_many(len(faces))
    named = ", ".join(face.ref or words.lot_code(face.code) for face in faces[:4]) + (" …" if len(faces) > 4 else "")
    return sheets(_("Labels of lots: %(lots)s") % {"lots": named}, [lot_label(face) for face in faces], begin_at)


def refuse_range(face: SeriesFace, first_no: int, last_no: int) -> None:
    """Raise PaperFault for numbers that the series does not have, that run backwards, that are void, or are too many."""
    if not face.first_no <= first_no <= last_no <= face.last_no:
        raise PaperFault(_("%(lot)s has the numbers %(first)s to %(last)s. Choose from these, the lower number first.") % {
            "lot": face.lot, "first": face.first_no, "last": face.last_no,
        })
    refuse_many(last_no - first_no + 1)
    void = void_among(face, first_no, last_no)
    if void is not None:
        raise PaperFault(_("Number %(number)s of %(lot)s is void, so it gets no label. Choose a range without it.") % {
            "number": void, "lot": face.lot,
        })


def refuse_many(label_count: int) -> None:
    """Raise PaperFault for more labels than one request makes."""
    if label_count > LABELS_MAX:
        raise PaperFault(_("%(count)s labels were asked for; one request makes %(most)s at most. Ask for them in parts.") % {
            "count": words.count(label_count), "most": LABELS_MAX,
        })


def pack_label(face: SeriesFace, number: int, code: str) -> Label:
    """Return the label of one pack."""
    product = (words.language() == "ja" and face.product_ja) or face.product
    net = (_("Net %(mass)s, kept sample") if face.retained else _("Net %(mass)s")) % {"mass": words.net(face.net_mg)}
    best = f"{face.best_before_on:%Y-%m}" if face.month_only else face.best_before_on.isoformat()
    lines = (
        product, net, _("Best before %(day)s") % {"day": best},
        _("Lot %(lot)s, pack %(number)s") % {"lot": face.lot, "number": number},
    )
    try:
        address = pack_address(settings.LEDGER_PUBLIC_ADDRESS, code)
    except CodeError as fault:
        raise PaperFault(str(fault)) from fault
    return Label(address, capfirst(words.kind_word(face.kind)), print_form(code), lines)


def lot_label(face: LotFace) -> Label:
    """Return the label of one lot; its symbol carries the code without the hyphen."""
    lines = (
        capfirst(words.material_word(face.material)), face.ref, words.mass(face.mass_mg), words.mill_day(face.opened_at),
    )
    return Label(face.code, words.stage_word(face.stage), words.lot_code(face.code), tuple(line for line in lines if line))


def sheets(title: str, labels: Sequence[Label], begin_at: int) -> bytes:
    """Return the sheets of some labels as PDF."""
    if not 1 <= begin_at <= PER_SHEET:
        raise PaperFault(_("A sheet has the places 1 to %(most)s; %(place)s is none of them.") % {"most": PER_SHEET, "place": begin_at})
    placed: list[Label | None] = [*([None] * (begin_at - 1)), *labels]
    placed += [None] * (-len(placed) % PER_SHEET)
    pages = [placed[at : at + PER_SHEET] for at in range(0, len(placed), PER_SHEET)]
    rows = [[page[at : at + COLUMN_COUNT] for at in range(0, PER_SHEET, COLUMN_COUNT)] for page in pages]
    head = paper_head()
    symbols = {number: [symbol_at(at, each) for at, each in enumerate(page) if each] for number, page in enumerate(pages)}
    context = {"sheets": rows, "house_name": house_name(head), "title": title}
    return paper("paper/labels.html", context, Head(title, head.last_entry_at), SymbolFinisher(symbols))


def symbol_at(place: int, label: Label) -> Symbol:
    """Return the symbol of the label at a place of a sheet, counted from 0."""
    row, column = divmod(place, COLUMN_COUNT)
    return Symbol(
        column * WIDTH_MM + INSET_MM, TOP_MM + row * HEIGHT_MM + DROP_MM, SYMBOL_MM, qr_modules(label.carries),
    )
