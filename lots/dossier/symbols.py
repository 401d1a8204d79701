"""QR symbols drawn straight into the page: one rectangle for each run of dark modules, at its true size."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import pydyf
from weasyprint import Document

Modules = Sequence[Sequence[bool]]
PT_PER_MM = 72 / 25.4
PAGE_MM = 297.0
#: Modules of white that the standard asks for on every side.
QUIET_COUNT = 4


@dataclass(frozen=True, slots=True)
class Symbol:
    """One symbol on a page: its square with the quiet zone, ``size_mm`` wide, upper left corner at (x, y) from the upper
    left corner of the sheet."""

    x_mm: float
    y_mm: float
    size_mm: float
    modules: Modules


def runs_of(modules: Modules) -> Iterator[tuple[int, int, int]]:
    """Yield (row from the foot, first column, length) of every run of dark modules."""
    height = len(modules)
    for y, row in enumerate(modules):
        x = 0
        while x < len(row):
            start = x
            while x < len(row) and row[x]:
                x += 1
            if x > start:
                yield height - 1 - y, start, x - start
            x += 1


def drawn(symbol: Symbol) -> str:
    """Return the operators that draw a symbol, in points from the lower left corner of the sheet."""
    side = len(symbol.modules)
    unit_mm = symbol.size_mm / (side + 2 * QUIET_COUNT)
    left = (symbol.x_mm + QUIET_COUNT * unit_mm) * PT_PER_MM
    foot = (PAGE_MM - symbol.y_mm - symbol.size_mm + QUIET_COUNT * unit_mm) * PT_PER_MM
    unit = unit_mm * PT_PER_MM
    boxes = "\n".join(f"{x} {y} {length} 1 re" for y, x, length in runs_of(symbol.modules))
    return f"q {unit:.5f} 0 0 {unit:.5f} {left:.3f} {foot:.3f} cm\n{boxes}\nf Q"


class SymbolFinisher:
    """Adds symbols to the pages of a document: page number from 0 to its symbols. The text beside each says the same, so
    that readers aloud pass over it."""

    def __init__(self, by_page: Mapping[int, Iterable[Symbol]]) -> None:
        self.by_page = by_page

    def __call__(self, _document: Document, pdf: pydyf.PDF) -> None:
        """Draw every symbol of every page."""
        for number, reference in enumerate(pdf.page_references):
            symbols = list(self.by_page.get(number, ()))
            if symbols:
                page = pdf.objects[int(reference.split()[0])]
                body = "\n".join(["Q", "/Artifact BMC", "0 g", *(drawn(each) for each in symbols), "EMC"])
                # The page's own content leaves its coordinates turned; ours count from the lower left corner.
                before, after = pydyf.Stream([b"q"]), pydyf.Stream([body.encode()], compress=True)
                pdf.add_object(before)
                pdf.add_object(after)
                page["Contents"] = pydyf.Array([before.reference, page["Contents"], after.reference])
