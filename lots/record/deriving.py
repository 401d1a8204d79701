"""What follows from the rows of an act: stock, edges, compositions, the reach of holds, the faces of packs.

Derived tables are never the truth: `rebuild` makes them anew, `verify` compares them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping

from django.db.models import OuterRef, Q, Subquery

from lots.genealogy.composition import UNKNOWN, mix
from lots.models import (
    DERIVED,
    Composition,
    Edge,
    FieldPlot,
    Flow,
    HarvestFlush,
    Hold,
    HoldReach,
    Lot,
    Origin,
    PackedUnit,
    PackFace,
    Shading,
    Step,
    Stock,
)
from lots.read.faces import faces
from lots.read.holding import any_hold_stands, held_steps, holds_on_leaf_of, standing
from lots.read.rows import marks, values
from lots.read.sourcing import book_masses, runs_of, sources, steps_of_runs, with_leaf
from lots.read.walking import down
from lots.record.inserting import change, insert
from lots.record.writing import Writing

#: Leaf begins at a harvest; of what was bought or stood here before, the book does not know the harvest.
ROOTS = "SELECT id, stage FROM step WHERE id IN ({marks}) AND stage IN ('harvest', 'receiving', 'opening') AND part <> 'refuse'"
SIGNS = {Flow.Kind.OUT: 1, Flow.Kind.IN: -1, Flow.Kind.DIFFERENCE: 1}


def derive(writing: Writing) -> None:
    """Bring every derived table up to an act that was just written."""
    move_stock(writing)
    steps = [s.pk for s in writing.rows_of(Step)]
    corrected = [s.corrects_id for s in writing.rows_of(Step) if s.corrects_id]
    if corrected:
        rederive(corrected)
    elif writing.rows_of(Lot) or any(f.kind == Flow.Kind.IN for f in writing.rows_of(Flow)):
        derive_steps(steps)
        if any_hold_stands():
            inherit_holds(steps)
    for hold in writing.rows_of(Hold):
        reach(hold)
    if writing.rows_of(PackedUnit):
        write_faces([u.pk for u in writing.rows_of(PackedUnit)])
    told = [plot.code for plot in writing.rows_of(FieldPlot)] + [cover.plot.code for cover in writing.rows_of(Shading)]
    if told:
        refresh_faces_of_plots(told)


def move_stock(writing: Writing) -> None:
    """Open a stock row for each new lot and move the others by the act's flows."""
    moved: dict[int, int] = defaultdict(int)
    emptied: set[int] = set()
    for flow in writing.rows_of(Flow):
        if flow.lot_id is not None:
            moved[flow.lot_id] += SIGNS[Flow.Kind(flow.kind)] * flow.mass_mg
            if flow.empties:
                emptied.add(flow.lot_id)
    new = {lot.pk for lot in writing.rows_of(Lot)}
    insert([Stock(lot_id=pk, book_mg=moved.pop(pk, 0), emptied=False) for pk in sorted(new)])
    rows = [(mg, pk in emptied, pk) for pk, mg in moved.items()]
    if rows:
        change("UPDATE stock SET book_mg = book_mg + %s, emptied = %s WHERE lot_id = %s", rows)


def derive_steps(step_ids: Iterable[int]) -> None:
    """Write edges, origin and composition of steps, in order of id; their sources must stand already."""
    ids = sorted(step_ids)
    given = sources(ids)
    insert([
        Edge(id=None, step_id=step, source_id=source, share_frac=mass / sum(masses.values()))
        for step, masses in given.items()
        for source, mass in sorted(masses.items())
    ])
    compose_steps(ids, given)


def compose_steps(ids: list[int], given: Mapping[int, Mapping[int, float]]) -> None:
    """Write origin and composition of steps from the dry masses of their sources."""
    roots = roots_among([step for step in ids if not given.get(step)])
    held = held_by({source for masses in given.values() for source in masses})
    for step in ids:
        holders = {held.get(source, source) for source in given.get(step, ())}
        if step in roots:
            store(step, {step if roots[step] == "harvest" else UNKNOWN: 1.0})
        elif len(holders) == 1:
            held[step] = holders.pop()
            insert([Origin(step_id=step, held_by_id=held[step])])
            continue
        elif holders:
            store(step, mixed(given[step], held))
        held[step] = step


def roots_among(ids: list[int]) -> dict[int, str]:
    """Return which of some steps leaf begins at, with their stage: those that drew leaf are none and need not be asked."""
    return dict(values(ROOTS.format(marks=marks(ids)), ids)) if ids else {}


def held_by(step_ids: Iterable[int]) -> dict[int, int]:
    """Return for each step where its composition is stored."""
    ids = list(step_ids)
    if not ids:
        return {}
    return dict(values(f"SELECT step_id, held_by_id FROM origin WHERE step_id IN ({marks(ids)})", ids))


def mixed(masses: Mapping[int, float], held: Mapping[int, int]) -> dict[int, float]:
    """Return the composition of a step with several origins, by dry mass."""
    parts: dict[int, dict[int, float]] = defaultdict(dict)
    rows = Composition.objects.filter(held_by__in={held.get(s, s) for s in masses})
    for holder, harvest, share in rows.values_list("held_by_id", "harvest_id", "share_frac"):
        parts[holder][harvest or UNKNOWN] = share
    return mix([(mass, parts.get(held.get(s, s)) or {UNKNOWN: 1.0}) for s, mass in sorted(masses.items())])


def store(step: int, shares: Mapping[int, float]) -> None:
    """Store a composition under its own step."""
    plots = dict(HarvestFlush.objects.filter(pk__in=list(shares)).values_list("pk", "plot__code"))
    insert([Origin(step_id=step, held_by_id=step)])
    insert([
        Composition(held_by_id=step, harvest_id=h or None, plot_code=plots.get(h, ""), share_frac=share)
        for h, share in sorted(shares.items())
    ])


def rederive(corrected: Iterable[int]) -> None:
    """Work out anew everything downstream of corrected steps, in order of id."""
    ids = down(with_leaf(steps_of_runs(runs_of(corrected).values())))
    forget(ids)
    for step in ids:
        derive_steps([step])
    for hold in Hold.objects.filter(standing()):
        reach(hold)
    covers = Shading.objects.filter(step__in=list(corrected))
    refresh_faces_of_plots(covers.values_list("plot__code", flat=True))
    write_faces(PackedUnit.objects.filter(step__in=ids).values_list("pk", flat=True))


def forget(ids: Iterable[int]) -> None:
    """Drop the edges and compositions of steps before they are worked out anew."""
    steps = list(ids)
    Edge.objects.filter(step__in=steps).delete()
    Composition.objects.filter(held_by__in=steps).delete()
    Origin.objects.filter(step__in=steps).delete()


def reach(hold: Hold) -> None:
    """Write how far a hold reaches: everything made of the held lot. A release takes the reach of what it ends away."""
    ended = hold.ends_id if hold.kind == Hold.Kind.RELEASE else None
    HoldReach.objects.filter(hold=ended or hold.pk).delete()
    if ended:
        return
    insert([HoldReach(hold_id=hold.pk, step_id=step) for step in held_steps(hold)])


def inherit_holds(step_ids: Iterable[int]) -> None:
    """Carry standing holds over to steps that were just derived."""
    insert([HoldReach(hold_id=h, step_id=s) for s in step_ids for h in holds_on_leaf_of(s)])


def refresh_faces_of_plots(codes: Iterable[str]) -> None:
    """Gather anew the pages of all packs that hold leaf of these plots (what a plot discloses has changed)."""
    holders = Composition.objects.filter(plot_code__in=list(codes)).values("held_by")
    write_faces(PackedUnit.objects.filter(step__origin__held_by__in=holders).values_list("pk", flat=True))


def write_faces(unit_ids: Iterable[int]) -> None:
    """Gather anew what the pages of these series may say."""
    ids = list(unit_ids)
    PackFace.objects.filter(pk__in=ids).delete()
    insert([PackFace(unit_id=pk, facts=facts) for pk, facts in faces(ids).items()])


def emptied_lots() -> set[int]:
    """Return the lots whose last act said that nothing is left of them."""
    last = Flow.objects.filter(lot=OuterRef("lot")).order_by("-step_id").values("step")[:1]
    rows = Flow.objects.filter(empties=True, step=Subquery(last))
    return {lot for (lot,) in rows.values_list("lot_id")}


def rebuild(tell: Callable[[int, int], None] = lambda *_: None) -> int:
    """Make every derived table anew from the book's rows; return the number of steps worked out."""
    opened = Lot.objects.values("step")
    drew = Flow.objects.filter(kind=Flow.Kind.IN).exclude(step__stage="correcting").values("step")
    ids = list(Step.objects.filter(Q(pk__in=opened) | Q(pk__in=drew)).order_by("pk").values_list("pk", flat=True))
    for table in DERIVED:
        table.objects.all().delete()
    emptied = emptied_lots()
    insert([Stock(lot_id=lot, book_mg=total, emptied=lot in emptied) for lot, total in sorted(book_masses().items())])
    for done, step in enumerate(ids, 1):
        derive_steps([step])
        tell(done, len(ids))
    for hold in Hold.objects.filter(standing()):
        reach(hold)
    write_faces(PackedUnit.objects.values_list("pk", flat=True))
    return len(ids)
