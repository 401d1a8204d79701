"""The words of a label against the facts: what each word says that the product or its leaf does not bear out.

What a label must carry and how a place may be named follows the Japanese rules for tea (Food Labeling Standards; for
places the trade standard of March 2019: all of the leaf, or from half of it on with the word blend). A native check
of each label stays with the person who signs for it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lots.trade.best_before import BestBefore
from lots.trade.language import Refused, Said
from lots.trade.units import g_text, percent_text

WHOLE, BLEND, NONE = "whole", "blend", "none"
HALF = 0.5
_ANY_DAY = dt.date(2026, 7, 1)
#: Sums of shares carry this much noise.
NOISE = 1e-9
ORGANIC, ONE_CULTIVAR, ONE_PLOT = "organic", "single cultivar", "single plot"
ORGANIC_WORDS = ("organic", "有機", "オーガニック")


@dataclass(frozen=True, slots=True)
class LabelWords:
    """What a label says. ``net_mg`` in mg; ``origin_claim`` is whole, blend or none; ``claims`` are those that are meant."""

    name: str
    ingredients: str
    origin: str
    origin_valley: str
    origin_claim: str
    net_mg: int
    rule: BestBefore
    storage: str
    business: str
    claims: tuple[str, ...]
    checked: bool


@dataclass(frozen=True, slots=True)
class LeafShare:
    """One share of the dry leaf in the packs; empty words where nobody knows."""

    share_frac: float
    valley: str = ""
    plot: str = ""
    cultivar: str = ""
    state: str = ""


def findings(label: LabelWords, *, net_mg: int, rule: BestBefore, leaf: Sequence[LeafShare] = ()) -> tuple[Said, ...]:
    """Return, as sentences, everything in which a label differs from its product (``net_mg`` in mg and best-before rule)
    and from the leaf in its packs (shares of dry mass; left out where no packs are looked at)."""
    found = [*_missing(label), *_product(label, net_mg, rule), *_place(label, leaf), *_claims(label, leaf)]
    return tuple(found)


def _missing(label: LabelWords) -> Iterator[Said]:
    words = (
        (label.name, "the name", "名称"), (label.ingredients, "the ingredients", "原材料名"),
        (label.origin, "where the crude tea was made", "荒茶の製造地"), (label.storage, "how to keep it", "保存方法"),
        (label.business, "the business and its address", "事業者の名称と住所"),
    )
    for text, english, japanese in words:
        if not text.strip():
            yield Said(f"The label does not say {english}.", f"表示に{japanese}がありません。")
    if not label.checked:
        yield Said("Nobody is named who checked these words.", "この表示を確認した人の記載がありません。")


def _product(label: LabelWords, net_mg: int, rule: BestBefore) -> Iterator[Said]:
    if label.net_mg != net_mg:
        says, is_ = g_text(label.net_mg, 1), g_text(net_mg, 1)
        yield Said(f"The label says {says} net, the product holds {is_}.", f"表示の内容量は {says}、製品は {is_} です。")
    if label.rule != rule:
        yield Said(
            f"The label is printed by another best-before rule ({label.rule.words()}) than the product's ({rule.words()}).",
            f"表示の賞味期限の決まり（{label.rule.words('ja')}）が製品のもの（{rule.words('ja')}）と違います。",
        )
    try:
        rule.on(_ANY_DAY)
    except Refused as fault:
        yield Said(fault.english, fault.japanese)


def _place(label: LabelWords, leaf: Sequence[LeafShare]) -> Iterator[Said]:
    place, claim = label.origin_valley, label.origin_claim
    if bool(place) != (claim != NONE):
        yield Said("The label names a place without saying whether all of the leaf is from there, or the other way round.",
                   "産地名と、全量か一部かの別がそろっていません。")
        return
    if not leaf or not place:
        return
    share = sum(one.share_frac for one in leaf if one.valley == place)
    part = percent_text(share, 1)
    if claim == WHOLE and share < 1 - NOISE:
        yield Said(
            f"The label names {place} alone, and {part} of the leaf is known to be from there: all of it must be,"
            " or from half on it must say blend.",
            f"表示は「{place}」のみですが、そこの茶と分かるのは {part} です。全量が要り、半分以上なら「ブレンド」と書きます。",
        )
    if claim == BLEND and share < HALF - NOISE:
        yield Said(
            f"The label names {place} as a blend, and {part} of the leaf is known to be from there: half of it must be.",
            f"表示は「{place}ブレンド」ですが、そこの茶と分かるのは {part} です。半分以上が要ります。",
        )


def _claims(label: LabelWords, leaf: Sequence[LeafShare]) -> Iterator[Said]:
    said = f"{label.name} {label.ingredients}".lower()
    if ORGANIC not in label.claims and any(word in said for word in ORGANIC_WORDS):
        yield Said("The words say organic, and organic is not among the claims that are meant.",
                   "文言に有機とありますが、意図する表示に有機が入っていません。")
    if not leaf:
        return
    for claim in label.claims:
        if claim == ORGANIC and any(one.state != ORGANIC for one in leaf):
            part = percent_text(sum(one.share_frac for one in leaf if one.state == ORGANIC), 1)
            yield Said(f"The label says organic, and {part} of the leaf is from plots certified organic.",
                       f"表示は有機ですが、有機認証の畑の茶は {part} です。")
        if claim == ONE_CULTIVAR and len({one.cultivar for one in leaf}) != 1:
            yield Said("The label says single cultivar, and more than one is in the packs.", "表示は単一品種ですが、複数の品種があります。")
        if claim == ONE_PLOT and len({one.plot for one in leaf}) != 1:
            yield Said("The label says single plot, and leaf of more than one is in the packs.", "表示は単一畑ですが、複数の畑の茶です。")


def unknown_claims(label: LabelWords) -> tuple[str, ...]:
    """Return the claims that no figure of the book can bear out: their ground stands elsewhere."""
    return tuple(claim for claim in label.claims if claim not in {ORGANIC, ONE_CULTIVAR, ONE_PLOT})
