"""Everything that a dossier of a lot tells, read once: the lots of one step that a code or reference names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lots.models import Cultivar, Lot
from lots.read.lot_fields import HarvestField, harvest_fields, newest_plots
from lots.read.lot_flow import LotFlow, lot_flow
from lots.read.lot_marks import Marks, marks_of
from lots.read.lot_proof import LotProof, lot_proof
from lots.read.lot_way import WayStep, way_of
from lots.read.names import opened
from lots.read.paper_heads import PaperHead, paper_head
from lots.read.registers import newest
from lots.read.trace_records import Trace
from lots.read.tracing import trace_lots


@dataclass(frozen=True, slots=True)
class LotDossier:
    """The facts of a dossier. ``parties`` are names behind commitments, as far as they were not erased; ``disclosed``
    is how much strangers may read of each plot that the trace names; ``mass_mg`` is what the lots weighed when they were made,
    ``cultivars_ja`` how cultivars are called in Japanese."""

    trace: Trace
    fields: tuple[HarvestField, ...]
    way: tuple[WayStep, ...]
    flow: LotFlow
    marks: Marks
    proof: LotProof
    head: PaperHead
    stage: str
    mass_mg: int
    parties: dict[str, str]
    disclosed: dict[str, str]
    cultivars_ja: dict[str, str]


def lot_dossier(lots: Sequence[Lot], language: str = "en") -> LotDossier:
    """Return the dossier of the lots (read with their step) that one step made; words of the flow in ``language``."""
    traced = trace_lots(lots)
    back = traced.back_steps
    names, head = opened(sent.name for sent in traced.consignments), paper_head()
    return LotDossier(
        trace=traced, fields=harvest_fields(traced.origins), way=way_of(back), flow=lot_flow(back, language), marks=marks_of(lots, back),
        proof=lot_proof(lots, back, head), head=head, stage=lots[0].step.stage, mass_mg=sum(lot.mass_mg for lot in lots), parties=names,
        disclosed={code: plot.disclosed for code, plot in newest_plots(plots_named(traced)).items()},
        cultivars_ja=dict(newest(Cultivar).exclude(name_ja="").values_list("name", "name_ja")),
    )


def plots_named(traced: Trace) -> set[str]:
    """Return the codes of every plot that a trace names, in any tier."""
    beside = [o for each in traced.touched for o in (*each.origins, *each.behind)]
    shut = [o for each in traced.excluded for o in each.origins]
    return {o.plot for o in (*traced.origins, *beside, *shut) if o.plot}
