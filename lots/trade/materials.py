"""The materials that a lot can be made of, and how well their moisture is usually known."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Material:
    """One material of the trade.

    ``moisture_class`` groups materials whose moisture is measured alike (fresh, crude, refined, powder); ``letter`` opens
    the code of a lot of it and is one of the 32 signs of our codes.
    """

    key: str
    english: str
    japanese: str
    letter: str
    moisture_class: str
    by_product: bool = False


FRESH_LEAF = Material("fresh_leaf", "fresh leaf", "生葉", "H", "fresh")
CRUDE_LEAF = Material("crude_leaf", "crude leaf", "荒茶", "C", "crude")
STEM = Material("stem", "stem", "茎", "W", "crude", by_product=True)
REFINED_LEAF = Material("refined_leaf", "refined leaf", "仕立て葉", "R", "refined")
VEIN_STEM = Material("vein_stem", "vein and stem", "骨", "V", "crude", by_product=True)
FINES = Material("fines", "fines", "粉", "F", "crude", by_product=True)
OFF_COLOUR = Material("off_colour", "off-colour leaf", "色違い葉", "D", "crude", by_product=True)
LEFT_OVER = Material("left_over", "left-over leaf", "残り葉", "B", "refined")
TUB_POWDER = Material("tub_powder", "powder in tubs", "桶の抹茶", "M", "powder")
SIEVED_POWDER = Material("sieved_powder", "sieved powder", "篩った抹茶", "S", "powder")
OVERSIZE = Material("oversize", "oversize", "篩上", "X", "powder", by_product=True)
WARM_UP_POWDER = Material("warm_up_powder", "warm-up powder", "ならし粉", "Y", "powder", by_product=True)
PACKED_TEA = Material("packed_tea", "packed tea", "包装品", "K", "powder")
RETAINED_TEA = Material("retained_tea", "retained samples", "保存見本", "Q", "powder")
BULK_POWDER = Material("bulk_powder", "bulk powder left", "残り抹茶", "P", "powder")

MATERIALS = MappingProxyType({
    m.key: m
    for m in (
        FRESH_LEAF, CRUDE_LEAF, STEM, REFINED_LEAF, VEIN_STEM, FINES, OFF_COLOUR, LEFT_OVER, TUB_POWDER,
        SIEVED_POWDER, OVERSIZE, WARM_UP_POWDER, PACKED_TEA, RETAINED_TEA, BULK_POWDER,
    )
})

#: What comes off the stones: tea, and what only warmed them.
GROUND = (TUB_POWDER.key, WARM_UP_POWDER.key)

#: Standard uncertainty of one moisture measurement by class, kg water per kg. Common practice, no source: the maker's
#: own register of moisture rules overrides it.
U_MOISTURE_FRAC = MappingProxyType({"fresh": 0.010, "crude": 0.003, "refined": 0.002, "powder": 0.002})
