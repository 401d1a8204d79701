"""The catalogue of stages: what each consumes, produces and may lose, and the words that the desk uses for it."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the chain.

    ``parts`` are the acts of the stage, each one step; ``consumes`` and ``produces`` are material keys; ``losses`` are the
    named reasons for which mass may leave; ``column`` is its place in the lineage drawing (None: not drawn); ``judged``
    says whether a dry-matter balance is made; ``loss_frac`` and ``sd_frac`` are the expected loss and its scatter as
    shares of the dry input, used until the maker's own register says otherwise.
    """

    key: str
    english: str
    japanese: str
    parts: tuple[str, ...]
    consumes: tuple[str, ...] = ()
    produces: tuple[str, ...] = ()
    losses: tuple[str, ...] = ()
    equipment: str = ""
    column: int | None = None
    judged: bool = False
    loss_frac: float = 0.0
    sd_frac: float = 0.0


LEAF_LOSSES = ("spill", "sweepings", "sample")
#: What can be bought, or stand in the house before the book begins.
BOUGHT = ("fresh_leaf", "crude_leaf", "refined_leaf", "tub_powder", "sieved_powder", "bulk_powder")
#: What a bin can hold, and what can be lowered in state or grade; packs keep the label that they bear.
IN_BINS = (
    "crude_leaf", "stem", "refined_leaf", "vein_stem", "fines", "off_colour", "left_over", "tub_powder", "sieved_powder", "oversize",
    "bulk_powder", "warm_up_powder",
)

STAGES = MappingProxyType({
    s.key: s
    for s in (
        Stage("shading", "Shading", "被覆", ("cover",)),
        Stage("treatment", "Treatment", "防除・施肥", ("apply", "notice")),
        Stage("trimming", "Trim", "整枝", ("trim",)),
        Stage("harvest", "Leaf in", "荷受", ("intake",), (), ("fresh_leaf",), column=1),
        Stage("receiving", "Goods in", "入荷", ("accept", "refuse", "packaging"), (), BOUGHT, column=1),
        Stage("opening", "Stock from before", "繰越", ("stock",), (), BOUGHT, column=1),
        Stage("drying", "Oven", "炉", ("batch",), ("fresh_leaf",), ("crude_leaf", "stem"), LEAF_LOSSES, "oven", 2,
              judged=True, loss_frac=0.020, sd_frac=0.010),
        Stage("refining", "Sorting", "仕立て", ("batch",), ("crude_leaf", "vein_stem", "off_colour"),
              ("refined_leaf", "vein_stem", "fines", "off_colour"), LEAF_LOSSES, "sorter", 3,
              judged=True, loss_frac=0.008, sd_frac=0.003),
        Stage("counting", "Stock count", "棚卸", ("shelf", "place"), judged=True, loss_frac=0.0, sd_frac=0.002),
        Stage("milling", "Stones", "石臼", ("load", "tub", "close"), ("refined_leaf", "left_over", "oversize"),
              ("tub_powder", "left_over", "warm_up_powder"), LEAF_LOSSES, "stone_pair", 4, judged=True, loss_frac=0.008, sd_frac=0.0035),
        Stage("cleaning", "Clean-down", "清掃", ("clean",)),
        Stage("sieving", "Sieve", "篩", ("pass",), ("tub_powder", "bulk_powder"), ("sieved_powder", "oversize"),
              ("spill", "sweepings", "sample"), "sieve", 5, judged=True, loss_frac=0.003, sd_frac=0.0015),
        Stage("packing", "Tins and bags", "包装", ("run",), ("sieved_powder", "bulk_powder"),
              ("packed_tea", "retained_tea", "bulk_powder"), ("spill", "sweepings", "sample", "spoiled"), "filler", 6,
              judged=True, loss_frac=0.004, sd_frac=0.002),
        Stage("combining", "Bins", "寄せ", ("combine",), IN_BINS, IN_BINS, LEAF_LOSSES, judged=True, loss_frac=0.0005, sd_frac=0.0015),
        Stage("blend_plan", "Blend plan", "合組の計画", ("plan",)),
        Stage("blending", "Blend", "合組", ("leaf", "powder"), ("refined_leaf", "left_over", "sieved_powder", "bulk_powder"),
              ("refined_leaf", "left_over", "sieved_powder", "bulk_powder"), ("spill", "sweepings", "sample", "in_mixer"), "mixer",
              judged=True, loss_frac=0.001, sd_frac=0.0015),
        Stage("shelving", "Cold shelves", "冷蔵棚", ("put", "take")),
        Stage("removing", "Taken out of stock", "払出し", ("spill", "own_use", "gift", "downgrade", "destroy"), (), IN_BINS,
              ("spill", "own_use", "gift", "destroyed")),
        Stage("checkweighing", "Check-weighing", "内容量検査", ("series",)),
        Stage("labelling", "Labels", "表示", ("count", "reprint")),
        Stage("casing", "Cases", "箱詰", ("close", "open")),
        Stage("ordering", "Orders", "受注", ("take", "cancel")),
        Stage("keeping", "Kept samples", "保存見本", ("place", "round", "dispose"), ("retained_tea",), (), ("disposed",)),
        Stage("sampling", "Sample", "試料採取", ("take",), losses=("sample",)),
        Stage("testing", "Laboratory", "分析", ("result",)),
        Stage("releasing", "Release", "出荷判定", ("release", "refuse", "confirm")),
        Stage("tasting", "Tasting", "官能検査", ("note",)),
        Stage("complaining", "Complaints", "苦情", ("take",)),
        Stage("dispatch", "Going out", "出荷", ("consignment", "parcel"), ("packed_tea",), column=7),
        Stage("returning", "Returns", "返品", ("take_back", "settle"), ("packed_tea",), losses=("destroyed",)),
        Stage("entrusting", "Out for hire", "委託", ("send", "hand_over"), (), IN_BINS),
        Stage("hiring", "Back from hire", "委託戻り", ("back",), ("refined_leaf", "left_over", "crude_leaf", "oversize"),
              ("tub_powder", "sieved_powder", "left_over"), column=4, judged=True, loss_frac=0.010, sd_frac=0.004),
        Stage("detecting", "Magnet and metal detector", "磁石・金属検出機", ("test", "find")),
        Stage("scale_check", "Check weights", "分銅点検", ("check", "clear")),
        Stage("climate", "Room climate", "温湿度", ("read",)),
        Stage("grit", "Grit check", "砂検査", ("check",)),
        Stage("holding", "Hold", "止め", ("hold", "recall", "release")),
        Stage("correcting", "Corrections", "訂正", ("adjust", "reverse")),
    )
})

#: The season file's words for the judged stages, kept for loading files of that form.
SEASON_WORDS = MappingProxyType({
    "dry": "drying", "refine": "refining", "store": "counting", "mill": "milling", "sieve": "sieving", "pack": "packing",
})
