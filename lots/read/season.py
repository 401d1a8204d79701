"""The season from field to pack as one flow on dry matter, stage by stage: what the drawing and its table show."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lots.balance.totals import Total, total
from lots.models import Screen
from lots.read.balances import BalanceNode
from lots.read.season_sums import YearSums, year_sums
from lots.read.years import nodes_of_year
from lots.trade.language import pick
from lots.trade.materials import MATERIALS
from lots.trade.season import Branch, SeasonFlow, StageFlow, Stream
from lots.trade.stages import STAGES
from lots.trade.units import kg_text

#: The stages of the drawing in order of the process, with the word for what their note counts.
ORDER = ("drying", "refining", "counting", "milling", "sieving", "packing", "combining", "blending", "hiring")
#: Words for reasons of a declared loss. Japanese: draft for a native reader.
LOSSES = {
    "spill": ("swept up", "こぼれ"), "sweepings": ("sweepings", "掃き集め"), "sample": ("samples", "試料"),
    "spoiled": ("spoiled", "不良"), "in_mixer": ("left in the mixer", "混合機の残り"),
}


@dataclass(frozen=True, slots=True)
class SeasonYear:
    """One year as a flow, with the sum of balances of each stage and the balances themselves."""

    year: int
    flow: SeasonFlow
    totals: dict[str, Total]
    nodes: tuple[BalanceNode, ...]
    unmeasured_mg: int
    counted_mg: float

    def stream_mg(self, stage: str, branch: Branch) -> float:
        """Return the dry mass of one branch of a stage, by the stage's key."""
        return sum(s.dry_mg for s in self.flow.stages[ORDER.index(stage)].streams if s.branch is branch)


def season_year(year: int, language: str = "en") -> SeasonYear:
    """Return one year of the book as a flow; words in ``language``."""
    nodes = tuple(nodes_of_year(year))
    return SeasonBuilder(year, year_sums(year), nodes, language).built()


class SeasonBuilder:
    """Puts the sums of a year and its balances together into the flow's records."""

    def __init__(self, year: int, sums: YearSums, nodes: Sequence[BalanceNode], language: str) -> None:
        self.year, self.sums, self.nodes, self.language = year, sums, nodes, language
        self.totals = {stage: total([n.balance for n in nodes if n.stage == stage], language) for stage in ORDER}

    def built(self) -> SeasonYear:
        """Return the whole year."""
        stages = (self.oven(), self.sorting(), self.shelf(), self.stones(), self.sieve(), self.packing())
        flow = SeasonFlow(stages, self.summary(stages))
        counted = sum(line.mass_mg * (1 - (line.moisture_frac or 0)) for n in self.of("counting") for line in n.lines
                      if line.label == "counted" and line.side == "out")
        return SeasonYear(self.year, flow, self.totals, tuple(self.nodes), self.sums.unmeasured_mg, counted)

    def summary(self, stages: Sequence[StageFlow]) -> str:
        """Return the drawing's one sentence."""
        fresh = kg_text(stages[0].input_mg, 1)
        powder = kg_text(self.sums.dry_mg("sieving", "out", "sieved_powder"), 1)
        return self.words(f"{self.year}: {fresh} of dry leaf from the field, {powder} of sieved powder.",
                          f"{self.year}年：畑から乾物 {fresh}、篩った抹茶 {powder}。")

    # words ----------------------------------------------------------------------------------------------------------

    def words(self, english: str, japanese: str) -> str:
        """Return words in the language of the page."""
        return pick(self.language, english, japanese)

    def material(self, key: str) -> str:
        """Return the name of a material."""
        return self.words(MATERIALS[key].english, MATERIALS[key].japanese)

    def name(self, stage: str) -> str:
        """Return the name of a stage in the drawing."""
        if stage == "counting":
            return self.words("Shelf", "棚")
        if stage == "packing":
            return self.words("Packing", "包装")
        return self.words(STAGES[stage].english, STAGES[stage].japanese)

    def note(self, count: int, singular: str, plural: str, japanese: str) -> str:
        """Return a stage's note: "12 lots"."""
        return self.words(f"{count} {singular if count == 1 else plural}", f"{count} {japanese}") if count else ""

    def of(self, stage: str) -> list[BalanceNode]:
        """Return the balances of a stage."""
        return [n for n in self.nodes if n.stage == stage]

    # streams --------------------------------------------------------------------------------------------------------

    def main(self, stage: str, material: str, label: str = "") -> Stream:
        """Return what goes on from a stage."""
        return Stream(label or self.material(material), Branch.MAIN, self.sums.dry_mg(stage, "out", material))

    def beside(self, stage: str, *materials: str, branch: Branch = Branch.BY_PRODUCT) -> list[Stream]:
        """Return what is weighed beside the main stream, largest first."""
        streams = [Stream(self.material(m), branch, self.sums.dry_mg(stage, "out", m)) for m in materials]
        return sorted((s for s in streams if s.dry_mg), key=lambda s: -s.dry_mg)

    def lost(self, stage: str) -> list[Stream]:
        """Return the declared losses of a stage by reason."""
        reasons = self.sums.by(stage, "lost", lambda line: line.role)
        return [Stream(self.words(*LOSSES.get(role, (role, role))), Branch.DECLARED, mg)
                for role, mg in reasons.items() if mg]

    def difference(self, stage: str, dry_mg: float) -> Stream:
        """Return what was not found at a stage (negative: too much), with what is usual and the verdict of the sum."""
        judged = self.totals[stage]
        surplus_on_shelf = stage == "counting" and dry_mg < 0
        label = self.words("too much on the shelf", "棚に過剰") if surplus_on_shelf else self.words("not found", "不明")
        usual = judged.balance.e_mg if judged.judged_count else None
        return Stream(label, Branch.UNEXPLAINED, dry_mg, usual, judged.balance.verdict)

    def rest(self, stage: str, input_mg: float, streams: Iterable[Stream]) -> Stream:
        """Return what is missing at a stage after everything that left it."""
        return self.difference(stage, input_mg - sum(s.dry_mg for s in streams))

    # stages ---------------------------------------------------------------------------------------------------------

    def closed(self, stage: str, note: str, label: str, streams: list[Stream], input_mg: float) -> StageFlow:
        """Return a stage whose difference is what its streams leave open."""
        return StageFlow(self.name(stage), note, label, input_mg, (*streams, self.rest(stage, input_mg, streams)))

    def oven(self) -> StageFlow:
        """Fresh leaf becomes crude leaf and stem."""
        streams = [self.main("drying", "crude_leaf"), *self.beside("drying", "stem"), *self.lost("drying")]
        note = self.note(len(self.of("drying")), "lot", "lots", "ロット")
        return self.closed("drying", note, self.material("fresh_leaf"), streams, self.sums.dry_mg("drying", "in"))

    def sorting(self) -> StageFlow:
        """Crude leaf becomes refined leaf and its by-products."""
        beside = self.beside("refining", "vein_stem", "fines", "off_colour")
        streams = [self.main("refining", "refined_leaf"), *beside, *self.lost("refining")]
        note = self.note(len(self.of("refining")), "lot", "lots", "ロット")
        return self.closed("refining", note, self.material("crude_leaf"), streams, self.sums.dry_mg("refining", "in"))

    def to_stones_mg(self) -> float:
        """Return the leaf that went to the stones, less what came back."""
        back = self.sums.dry_mg("milling", "out", "left_over")
        return self.sums.dry_mg("milling", "in", "refined_leaf", "left_over") - back

    def shelf(self) -> StageFlow:
        """Refined leaf waits for the stones; counts say what is too much or missing."""
        input_mg = self.sums.shelf_before_mg + self.sums.dry_mg("refining", "out", "refined_leaf")
        missing = self.difference("counting", self.totals["counting"].balance.d_mg)
        gone = Stream(self.words("to the stones", "石臼へ"), Branch.MAIN, self.to_stones_mg())
        here = input_mg - gone.dry_mg - missing.dry_mg
        left = Stream(self.words("still on the shelf", "棚に残る"), Branch.SHELF, here)
        note = self.note(len(self.of("refining")), "lot", "lots", "ロット")
        return StageFlow(self.name("counting"), note, self.material("refined_leaf"), input_mg, (gone, left, missing))

    def stones(self) -> StageFlow:
        """Leaf becomes powder in tubs; what is in the mill is stock, not a loss."""
        again = self.sums.dry_mg("milling", "in", "oversize")
        in_mill = Stream(self.words("in the mill", "石臼の中"), Branch.IN_MILL, self.sums.in_mill_mg)
        streams = [self.main("milling", "tub_powder", self.words("in tubs", "桶に"))]
        streams += [*self.beside("milling", "warm_up_powder"), *self.lost("milling")]
        if in_mill.dry_mg > 0:
            streams.append(in_mill)
        jobs = len({n.job or n.name for n in self.of("milling")})
        label = self.words("leaf and oversize", "葉と篩上") if again else self.words("leaf", "葉")
        note = self.note(jobs, "job", "jobs", "仕事")
        return self.closed("milling", note, label, streams, self.to_stones_mg() + again)

    def sieve(self) -> StageFlow:
        """Powder goes through the screen; what stays on it is oversize."""
        widths = sorted(set(Screen.objects.filter(passes__step__in=[n.step for n in self.of("sieving")]).values_list(
            "aperture_um", flat=True)))
        through = self.words("powder", "抹茶")
        if len(widths) == 1:
            through = self.words(f"through {widths[0]}\u00a0µm", f"{widths[0]}\u00a0µm 通過")
        streams = [
            self.main("sieving", "sieved_powder", through), *self.beside("sieving", "oversize"), *self.lost("sieving"),
        ]
        note = self.note(len(self.of("sieving")), "pass", "passes", "回")
        return self.closed("sieving", note, self.words("powder", "抹茶"), streams, self.sums.dry_mg("sieving", "in"))

    def packing(self) -> StageFlow:
        """Powder goes into packs; samples are kept, and bulk is left."""
        packed = self.main("packing", "packed_tea", self.words("in packs", "包装品"))
        bulk = self.beside("packing", "bulk_powder", branch=Branch.SHELF)
        streams = [packed, *bulk, *self.beside("packing", "retained_tea"), *self.lost("packing")]
        note = self.note(len(self.of("packing")), "run", "runs", "回")
        return self.closed("packing", note, self.words("powder", "抹茶"), streams, self.sums.dry_mg("packing", "in"))
