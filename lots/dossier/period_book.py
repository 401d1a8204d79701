"""The inspector's workbook: the balance of a period, its causes and postings, then one sheet for each kind of event.

One row for each lot and event, one data item a column, everything as text or figure, no merged cells.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.balance.period import IN_SIDE, Column, Sheet
from lots.dossier.period_words import cause_word, column_word, group_word, side_word
from lots.dossier.tables import Cell, Table, workbook
from lots.dossier.words import material_word, stage_word, state_word
from lots.read.events import EventRow, HoldRow, events, holds
from lots.read.period import Entered, PeriodBook, Span, entered

KG = Decimal("0.000001")


def period_workbook(span: Span, now: dt.datetime) -> bytes:
    """Return the workbook of a period."""
    book = PeriodBook()
    words = {"first": span.first_on.isoformat(), "last": span.last_on.isoformat()}
    return workbook(tables(book, span), _("Balance %(first)s to %(last)s") % words, now)


def tables(book: PeriodBook, span: Span) -> list[Table]:
    """Return every sheet."""
    found = book.postings(span)
    here, before = book.sheets(span), book.sheets(span.a_year_before())
    rows = events(span)
    stages = dict.fromkeys(row.stage for row in rows)
    return [
        balance_table(here, before), cause_table(here), posting_table(entered(book, found)),
        *(event_table(stage, [row for row in rows if row.stage == stage]) for stage in stages), *hold_table(holds(span)),
    ]


def kg(mass_mg: float | None) -> Decimal | None:
    """Return a mass in kg to the milligram."""
    return None if mass_mg is None else Decimal(round(mass_mg)) * KG


def balance_table(here: Sequence[Sheet], before: Sequence[Sheet]) -> Table:
    """Return the balance: a row for each group, state and line, this period beside the same days of last year."""
    last = {(s.group, s.state): s for s in before}
    first = {(s.group, s.state): s for s in here}
    rows = [
        (state_word(state), group_word(group), column_word(column), side_of(column), *figures(first.get((group, state)), column),
         *figures(last.get((group, state)), column))
        for group, state in dict.fromkeys([*first, *last]) for column in Column
    ]
    headings = (
        _("State"), _("Product group"), _("Line"), _("Side"), _("kg dry"), _("kg as read"),
        _("kg dry, a year before"), _("kg as read, a year before"),
    )
    return Table("balance", _("Balance"), headings, rows)


def side_of(column: Column) -> str:
    """Return the side of the equation on which a line stands."""
    return _("in") if column in IN_SIDE else _("out")


def figures(sheet: Sheet | None, column: Column) -> tuple[Cell, Cell]:
    """Return a figure dry and as read."""
    figure = sheet.figures.get(column) if sheet else None
    return (kg(figure.dry_mg), kg(figure.read_mg)) if figure else (Decimal(0), None)


def cause_table(here: Sequence[Sheet]) -> Table:
    """Return the figures by cause."""
    rows = [
        (state_word(s.state), group_word(s.group), column_word(column), cause_word(cause), kg(dry))
        for s in here for column, figure in s.figures.items() for cause, dry in figure.causes
    ]
    return Table("causes", _("By cause"), (_("State"), _("Product group"), _("Line"), _("Cause"), _("kg dry")), rows)


def posting_table(found: Iterable[Entered]) -> Table:
    """Return every posting: what each line of the book gives to which figure."""
    rows = [
        (state_word(p.key[1]), group_word(p.key[0]), column_word(p.column), cause_word(p.cause), p.at, utc(p.at), one.entry, p.step,
         one.lot.code if one.lot else "", one.lot.ref if one.lot else "", kg(p.dry_mg), kg(p.read_mg))
        for one in found for p in [one.posting]
    ]
    headings = (
        _("State"), _("Product group"), _("Line"), _("Cause"), _("Happened, mill time"), _("Happened, UTC"), _("Entry"), _("Step"),
        _("Lot"), _("Maker's reference"), _("kg dry"), _("kg as read"),
    )
    return Table("postings", _("Postings"), headings, rows)


def utc(at: dt.datetime | None) -> str:
    """Return a moment in UTC as text."""
    return at.astimezone(dt.UTC).isoformat(timespec="seconds").replace("+00:00", "Z") if at else ""


def event_table(stage: str, rows: Sequence[EventRow]) -> Table:
    """Return the sheet of one kind of event."""
    more = list(dict.fromkeys(name for row in rows for name, _value in row.more))
    zone = timezone.get_current_timezone_name()
    headings = (
        _("Entry"), _("Step"), _("Act"), _("Happened, %(zone)s") % {"zone": zone}, _("Happened, UTC"),
        _("Written, %(zone)s") % {"zone": zone}, _("Written, UTC"), _("Badge"), _("Machine"), _("Corrects step"), _("Reason"), _("Lot"),
        _("Maker's reference"), _("Material"), _("Side"),
        _("Kind of line"), _("kg as read"), _("Moisture, per 100 wet"), _("Moisture is"), _("kg dry"), _("Scale"),
    )
    return Table(f"event-{stage}", stage_word(stage), (*headings, *(name.replace("_", " ") for name in more)), [
        (*cells(row), *(dict(row.more).get(name) for name in more)) for row in rows
    ])


def cells(row: EventRow) -> tuple[Cell, ...]:
    """Return what every event says."""
    wet = row.moisture_frac
    dry = None if row.mass_mg is None else kg(row.mass_mg * (1 - (wet or 0)))
    lot = row.lot
    return (
        row.entry, row.step, row.part, row.happened_at, utc(row.happened_at), row.recorded_at, utc(row.recorded_at), row.badge, row.machine,
        row.corrects_step, row.reason, lot.code if lot else "", lot.ref if lot else "", material_word(lot.material) if lot else "",
        side_word(row.kind), row.role, kg(row.mass_mg), None if wet is None else Decimal(str(wet)) * 100, row.moisture_how, dry, row.scale,
    )




def hold_table(rows: Sequence[HoldRow]) -> list[Table]:
    """Return the sheet of holds, recalls and releases; none where there were none."""
    if not rows:
        return []
    headings = (
        _("Entry"), _("Act"), _("Happened, mill time"), _("Happened, UTC"), _("Written, mill time"), _("Written, UTC"), _("Lot"),
        _("Maker's reference"), _("Material"), _("Reason"),
    )
    made = [
        (row.entry, row.kind, row.happened_at, utc(row.happened_at), row.recorded_at, utc(row.recorded_at), row.lot.code, row.lot.ref,
         material_word(row.lot.material), row.reason)
        for row in rows
    ]
    return [Table("event-holding", stage_word("holding"), headings, made)]
