"""What the number reader says when it asks or refuses: one sentence each, in both languages, with what to do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from lots.trade.language import pick


@dataclass(frozen=True, slots=True)
class Field:
    """What a field takes: its unit, its decimals, the most that can be (None: no limit), whether a scale gave it."""

    unit: str
    places: int
    most: Decimal | None
    weighed: bool
    language: str
    code_digits: int = 6


def plain(value: Decimal) -> str:
    """A figure without grouping and exponent, as it would be typed."""
    return f"{value:f}"


def _figures(values: Sequence[Decimal], unit: str, word: str) -> str:
    return f" {word} ".join(f"{plain(v)} {unit}".rstrip() for v in values)


def nothing_typed(field: Field) -> str:
    """The field is empty."""
    if field.weighed:
        return pick(field.language, "Nothing was typed. Type what the scale shows.", "空欄。秤の表示を打ち込む。")
    return pick(field.language, "Nothing was typed. Type the figure; 0 counts as an answer.",
                "空欄。数字を打ち込む。0 も答え。")


def a_code(field: Field) -> str:
    """A scan landed in the field."""
    return pick(field.language, "This looks like a code. Scan it in the scan field and type the figure here.",
                "コードのように見える。コードは読み取り欄へ、ここには数字を打ち込む。")


def below_zero(field: Field) -> str:
    """A minus was typed."""
    return pick(field.language, "A figure below zero cannot be here. To take something away, make a correction.",
                "0 より小さい値は入らない。減らすときは訂正で。")


def not_digits(field: Field, text: str) -> str:
    """Letters or signs stand among the digits."""
    if text[:1] in "lLiIoO|":
        digit = "0" if text[:1] in "oO" else "1"
        return pick(field.language, f"“{text[:1]}” is a letter. Was {digit} meant? Type the figure again.",
                    f"「{text[:1]}」は文字。{digit} か。数字を打ち直す。")
    return pick(field.language, f"“{text}” is not part of a figure. Type digits and one decimal point.",
                f"「{text}」は数字ではない。数字と小数点だけを打ち込む。")


def marks_mixed(field: Field, text: str) -> str:
    """Decimal marks and spaces that make no figure."""
    return pick(field.language, f"“{text}” has its marks where no figure has them. Type it with one decimal point.",
                f"「{text}」は区切りの位置がおかしい。小数点ひとつで打ち直す。")


def too_fine(field: Field, text: str) -> str:
    """More decimals than can have been read off."""
    count = field.places
    if not field.weighed and not count:
        return pick(field.language, f"“{text}” is not a whole number. Count again.",
                    f"「{text}」は整数ではない。数え直す。")
    told = f"{count or 'no'} {'decimal' if count == 1 else 'decimals'}"
    if field.weighed:
        return pick(field.language, f"The scale shows {told}; “{text}” has more. Type what it shows.",
                    f"秤の表示は小数 {count} 桁。「{text}」はそれより細かい。表示どおり打ち込む。")
    return pick(field.language, f"The field takes {told}; “{text}” has more.",
                f"小数 {count} 桁まで。「{text}」はそれより細かい。")


def too_much(field: Field, value: Decimal, offers: Sequence[Decimal]) -> str:
    """More than can be; with the one place of the decimal mark that would fit."""
    had, most = (f"{plain(v)} {field.unit}".rstrip() for v in (value, field.most or Decimal(0)))
    english = f"{had} is more than the scale can weigh ({most})." if field.weighed else f"{had} is more than {most}."
    japanese = f"{had} は秤の能力（{most}）を超える。" if field.weighed else f"{had} は {most} を超える。"
    if len(offers) == 1:
        return pick(field.language, f"{english} {plain(offers[0])}?", f"{japanese}{plain(offers[0])} か。")
    return pick(field.language, f"{english} Type it again.", f"{japanese}打ち直す。")


def two_readings(field: Field, text: str, values: Sequence[Decimal]) -> str:
    """One mark that may group or part decimals."""
    return pick(field.language, f"“{text}” can be read in two ways. Is it {_figures(values, field.unit, 'or')}?",
                f"「{text}」は二通りに読める。{_figures(values, field.unit, 'か')} か。")


def other_unit(field: Field, typed: str, values: Sequence[Decimal]) -> str:
    """The figure came with the unit of another field."""
    own = field.unit or pick(field.language, "a plain count", "個数")
    asked = _figures(values, field.unit, "or"), _figures(values, field.unit, "か")
    return pick(field.language, f"The field is in {own}, and {typed} was typed. Is it {asked[0]}?",
                f"この欄は {own}。{typed} と打たれた。{asked[1]} か。")


def too_dry(field: Field, value: Decimal, offers: Sequence[Decimal]) -> str:
    """A moisture that no tea has."""
    asked = _figures(offers, field.unit, "or"), _figures(offers, field.unit, "か")
    return pick(field.language, f"{plain(value)} per 100 is drier than any tea. Is it {asked[0]}?",
                f"水分 {plain(value)} は茶としては低すぎる。{asked[1]} か。")


def cut_short(field: Field, text: str, value: Decimal) -> str:
    """A decimal mark with nothing behind it."""
    return pick(field.language, f"“{text}” ends with its mark. Is it {_figures([value], field.unit, 'or')}?",
                f"「{text}」は小数点で終わる。{_figures([value], field.unit, 'か')} か。")
