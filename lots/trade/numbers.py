"""The forgiving number reader: what hands, scanners and two keyboards put into a field of figures.

It reads what can be meant in one way only, asks where two ways are open, and refuses with a sentence the rest.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from lots.trade import number_words as words
from lots.trade.figures import folded, looks_like_code, readings
from lots.trade.language import Refused
from lots.trade.moisture import Basis, wet_frac_from
from lots.trade.number_words import Field

__all__ = ["Reading", "looks_like_code", "read_count", "read_hours", "read_moisture", "read_number"]


@dataclass(frozen=True, slots=True)
class Reading:
    """What a typed text means. Exactly one of ``value``, ``question`` and ``refusal`` is there.

    ``candidates`` are the answers to offer with a question, or what a refused figure may have been; never filled in.
    """

    value: Decimal | None = None
    question: str = ""
    refusal: str = ""
    candidates: tuple[Decimal, ...] = ()


#: Each unit's family and size, and the ways it is typed (folded, lower case).
_UNITS: MappingProxyType[str, tuple[str, Fraction, tuple[str, ...]]] = MappingProxyType({
    "kg": ("mass", Fraction(1), ("kg", "kgs", "kilo", "kilos", "キロ", "キログラム")),
    "g": ("mass", Fraction(1, 1000), ("g", "gr", "gram", "grams", "グラム")),
    "mg": ("mass", Fraction(1, 1_000_000), ("mg", "ミリグラム")),
    "t": ("mass", Fraction(1000), ("t", "トン")),
    "h": ("time", Fraction(1), ("h", "hr", "hrs", "hour", "hours", "時間")),
    "min": ("time", Fraction(1, 60), ("min", "mins", "minute", "minutes", "分")),
    "d": ("time", Fraction(24), ("d", "day", "days", "日")),
    "%": ("share", Fraction(1), ("%", "per cent", "percent", "per 100", "パーセント")),
    "": ("count", Fraction(1), ("pcs", "tin", "tins", "bag", "bags", "pack", "packs", "個", "缶", "袋", "本", "枚")),
    "°C": ("warmth", Fraction(1), ("°c", "度")),
    "mm": ("length", Fraction(1), ("mm",)),
    "cm": ("length", Fraction(10), ("cm",)),
})
_UNIT_OF = MappingProxyType({alias: unit for unit, (_, _, aliases) in _UNITS.items() for alias in aliases})
_PARTS = re.compile(r"(?P<lead>[^0-9.,'-]*)(?P<figure>-?[0-9 .,']*)(?P<tail>.*)", re.DOTALL)
_CLOCK = re.compile(r"([0-9]{1,4}) ?(?::|h|時間?) ?([0-5][0-9]) ?(?:m|min|分)?", re.IGNORECASE)


def _fits(field: Field, value: Decimal) -> bool:
    """Whether a figure can be; a scale still shows up to nine intervals beyond its capacity (OIML R 76-1, 4.2.3)."""
    over = Decimal(9).scaleb(-field.places) if field.weighed else 0
    return field.most is None or value <= field.most + over


def _decimals(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def _shown(field: Field, value: Decimal) -> bool:
    return _decimals(value) <= field.places


def _trimmed(value: Decimal) -> Decimal:
    """``value`` without trailing noughts behind the mark, and without an exponent before it."""
    value = value.normalize()
    return value.quantize(Decimal(1)) if value == value.to_integral_value() else value


def _beyond(field: Field, value: Decimal) -> Reading:
    """Refuse a figure beyond what can be, and offer the places of the decimal mark that would fit."""
    shifted = [_trimmed(value.scaleb(-step)) for step in (1, 2, 3)]
    offers = tuple(v for v in shifted if _fits(field, v) and _shown(field, v))
    offers = offers if len(offers) == 1 else ()
    return Reading(refusal=words.too_much(field, value, offers), candidates=offers)


def _judged(field: Field, text: str, values: Sequence[Decimal]) -> Reading:
    """Choose among the readings of one figure in the field's own unit."""
    if not field.places:
        values = [v for v in values if not _decimals(v)] or values
    fitting = [v for v in values if _fits(field, v)]
    shown = tuple(v for v in fitting if _shown(field, v))
    if len(fitting) > 1 and shown:
        return Reading(question=words.two_readings(field, text, shown), candidates=shown)
    if shown:
        return Reading(value=shown[0])
    if fitting:
        return Reading(refusal=words.too_fine(field, text))
    return _beyond(field, values[0])


def _converted(field: Field, unit: str, values: Sequence[Decimal]) -> list[Decimal]:
    """Figures of ``unit`` in the field's own unit, empty where the two measure different things; times are rounded."""
    family, size, _ = _UNITS[unit]
    own_family, own_size, _ = _UNITS[field.unit]
    if family != own_family:
        return []
    ratio = size / own_size
    exact = [_trimmed(v * ratio.numerator / ratio.denominator) for v in values]
    return exact if family != "time" else [_trimmed(round(v, field.places)) for v in exact]


def _foreign(field: Field, text: str, unit: str, values: Sequence[Decimal]) -> Reading:
    """Ask about a figure that came with another field's unit; converted first, as typed second."""
    meant = _converted(field, unit, values)
    wanted = tuple(dict.fromkeys(v for v in (*meant, *values) if _fits(field, v) and _shown(field, v)))
    if wanted:
        return Reading(question=words.other_unit(field, text, wanted), candidates=wanted)
    if any(_fits(field, v) for v in meant):
        return Reading(refusal=words.too_fine(field, text))
    return Reading(refusal=words.too_much(field, (*meant, *values)[0], ()))


def _stray(field: Field, lead: str, tail: str) -> tuple[str, str]:
    """The unit that was typed round a figure (the field's own if none), and what is no unit at all."""
    found = [part.strip(" .") for part in (lead, tail) if part.strip(" .")]
    unknown = next((part for part in found if part.lower() not in _UNIT_OF), "")
    return (_UNIT_OF[found[0].lower()] if found and not unknown else field.unit), unknown


def _ends_with_mark(field: Field, figure: str) -> Reading | None:
    """Ask about "41.": a digit may have been lost behind the mark."""
    value = readings(figure[:-1]) if figure[-1:] in {".", ","} else ()
    if len(value) != 1 or _decimals(value[0]) or not _fits(field, value[0]):
        return None
    return Reading(question=words.cut_short(field, figure, value[0]), candidates=value)


def _read(text: str, field: Field) -> Reading:
    clean = folded(text)
    if not clean:
        return Reading(refusal=words.nothing_typed(field))
    if looks_like_code(clean, field.code_digits):
        return Reading(refusal=words.a_code(field))
    match = _PARTS.fullmatch(clean)
    lead, figure, tail = match.group("lead", "figure", "tail") if match else ("", "", clean)
    figure, (unit, unknown) = figure.strip(), _stray(field, lead, tail)
    if figure.startswith("-"):
        return Reading(refusal=words.below_zero(field))
    if unknown or not figure:
        return Reading(refusal=words.not_digits(field, unknown or clean))
    values = readings(figure)
    if not values:
        return _ends_with_mark(field, figure) or Reading(refusal=words.marks_mixed(field, figure))
    return _judged(field, figure, values) if unit == field.unit else _foreign(field, clean, unit, values)


def read_number(
    text: str, places: int, capacity: Decimal | int | None, unit: str = "kg", language: str = "en",
) -> Reading:
    """Read a weight as a scale with ``places`` decimals and ``capacity`` would show it, both in ``unit``.

    Point, comma, full-width signs, stray spaces and the own unit are taken; one mark is the decimal mark unless both
    readings fit the capacity (None: not known); another field's unit asks; codes, letters, a minus and invented
    decimals are refused. Raises KeyError for a ``unit`` that the reader does not know.
    """
    _ = _UNITS[unit]
    most = None if capacity is None else Decimal(capacity)
    return _read(text, Field(unit, places, most, weighed=True, language=language))


def read_count(text: str, most: int = 1_000_000, language: str = "en") -> Reading:
    """Read a whole count of packs, bags or labels, at most ``most``; a comma or point can only group thousands here.

    From eight digits on a number is taken for a scanned code: shorter ones are still counts of packs.
    """
    return _read(text, Field("", 0, Decimal(most), weighed=False, language=language, code_digits=8))


def read_hours(text: str, most: Decimal | int = 9_999, language: str = "en") -> Reading:
    """Read hours with up to two decimals, or as hours and minutes: "22.5" and "22:30" are the same."""
    field = Field("h", 2, Decimal(most), weighed=False, language=language)
    clock = _CLOCK.fullmatch(folded(text))
    if clock is None:
        return _read(text, field)
    hours = Decimal(clock.group(1)) + (Decimal(clock.group(2)) / 60).quantize(Decimal("0.01"))
    return _judged(field, text, [hours])


def _moisture_question(field: Field, value: Decimal) -> Reading | None:
    """Ask about a figure under one per hundred: no tea is that dry, so it is a slip or a share of one."""
    if value >= 1:
        return None
    offers = tuple(v for v in (value, _trimmed(value * 100)) if v and _shown(field, v)) or (value,)
    return Reading(question=words.too_dry(field, value, offers), candidates=offers)


def read_moisture(text: str, basis: Basis, language: str = "en") -> Reading:
    """Read a moisture per 100 on ``basis``, with up to two decimals; ``value`` is as typed, see ``wet_frac_from``.

    100 and more per 100 wet is refused with the question whether per 100 dry was meant; below 1 it asks.
    """
    field = Field("%", 2, Decimal(2_000), weighed=False, language=language)
    reading = _read(text, replace(field, places=4))
    if reading.value is None:
        return reading
    try:
        wet_frac_from(reading.value, basis)
    except Refused as refusal:
        return Reading(refusal=refusal.text(language))
    question = _moisture_question(field, reading.value)
    return question or _judged(field, text.strip(), [reading.value])
