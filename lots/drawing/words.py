"""The few words that a drawing says itself, in both languages, and the writing of its figures."""

from __future__ import annotations

from dataclasses import dataclass

from lots.trade.units import MG_PER_KG, number_text, percent_text


@dataclass(frozen=True, slots=True)
class Words:
    """Words and sentence patterns of the drawings. All other labels come in as words from the caller."""

    not_found: str = "not found"
    too_much: str = "too much: {stage}"
    missing: str = "{label} {kg}"
    surplus: str = "{kg} {label}"
    usual: str = "{kg} usual"
    cannot: str = "cannot be judged"
    waiting: str = "not yet taken on"
    elsewhere: str = "from earlier stock"
    comma: str = ", "
    dry: str = "{kg} dry"
    goes_in: str = "{label} in"
    scale: str = "{kg} dry is this wide"
    thin: str = "* thinner than a pen line: not to scale"
    no_flow: str = "Nothing has been weighed yet."
    contains: str = "Contains"
    touched: str = "May have touched"
    excluded: str = "Excluded"
    group: str = "{count} together"
    ways: str = "{count} ways"
    reasons: str = "{count} notes, in words below"
    page: str = "page {page} of {pages}"
    goes_on: str = "goes on on page {page}: {boxes}"
    comes_from: str = "comes from page {page}: {boxes}"
    goes_in_short: str = "in"
    comes_out_short: str = "out"


ENGLISH = Words()
#: Draft, until a native reader has signed it.
JAPANESE = Words(
    not_found="不明", too_much="過剰（{stage}）", missing="{label} {kg}", surplus="{label} {kg}", usual="いつもは {kg}",
    cannot="判定できず", waiting="次へ未送り", elsewhere="以前の在庫から", comma="、", dry="乾物 {kg}", goes_in="{label} 受入",
    scale="この幅で乾物 {kg}", thin="* 線より細いため縮尺外", no_flow="まだ量っていません。", contains="含む",
    touched="触れた可能性", excluded="除外", group="{count} 件まとめ", ways="{count} 本", reasons="注記 {count} 件、下の文に記載",
    page="{page} / {pages} ページ", goes_on="{page} ページへ続く：{boxes}",
    comes_from="{page} ページから：{boxes}", goes_in_short="入", comes_out_short="出",
)


def decimals_for(largest_mg: float) -> int:
    """Decimals of a kilogram that suit a drawing whose largest mass is ``largest_mg``."""
    kg = largest_mg / MG_PER_KG
    return 0 if kg >= 10_000 else 1 if kg >= 100 else 2 if kg >= 1 else 3 if kg >= 0.1 else 6


def figure(value: float, decimals: int) -> str:
    """A figure with thousands parted and a true minus."""
    return number_text(value, decimals)


def share(part: float, whole: float) -> str:
    """A share of the whole in per cent with one decimal; no words where there is no whole."""
    return percent_text(part / whole) if whole > 0 else ""
