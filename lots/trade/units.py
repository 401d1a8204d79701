"""Milligrams inside, grams and kilograms at the edges; figures, shares, dates and hours as the pages print them.

Everywhere: point as decimal mark, true minus (U+2212), no-break space before a unit, halves rounded away from zero.
"""

from __future__ import annotations

import math
from datetime import date, datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal, InvalidOperation

from lots.trade.language import Refused, is_japanese, pick

MINUS = "\u2212"
NBSP = "\u00a0"
MG_PER_G = 1_000
MG_PER_KG = 1_000_000

_DAYS_EN = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_DAYS_JA = ("月", "火", "水", "木", "金", "土", "日")
_MONTHS_EN = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
              "November", "December")


def _mg(value: Decimal | str, factor: int, unit: str) -> int:
    try:
        mg = Decimal(value) * factor
    except InvalidOperation:
        raise Refused(f"{value} is not a mass in {unit}.", f"{value} は {unit} の質量ではない。") from None
    if not mg.is_finite() or mg != mg.to_integral_value():
        raise Refused(f"{value} {unit} is finer than a milligram; the book keeps whole milligrams.",
                      f"{value} {unit} は 1 mg より細かい。台帳は mg の整数で持つ。")
    return int(mg)


def mg_from_kg(value: Decimal | str) -> int:
    """Whole milligrams of a mass in kg, exactly. Raises :class:`Refused` for no number and for parts of a milligram."""
    return _mg(value, MG_PER_KG, "kg")


def mg_from_g(value: Decimal | str) -> int:
    """Whole milligrams of a mass in g, exactly. Raises :class:`Refused` for no number and for parts of a milligram."""
    return _mg(value, MG_PER_G, "g")


def kg_from_mg(mass_mg: int) -> Decimal:
    """A mass in kg, exactly, from whole milligrams."""
    return Decimal(mass_mg).scaleb(-6)


def _decimal(value: float | Decimal) -> Decimal:
    return value if isinstance(value, Decimal) else Decimal(repr(value))


def number_text(value: float | Decimal, places: int, *, signed: bool = False, language: str = "en") -> str:
    """``value`` with ``places`` decimals, thousands grouped by a comma, a true minus and, if ``signed``, a plus.

    What rounds to zero has no sign. A NaN is "not known": a balance that misses a moisture has such figures.
    """
    if not math.isfinite(value):
        return pick(language, "not known", "不明")
    rounded = _decimal(value).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    sign = MINUS if rounded < 0 else "+" if signed and rounded > 0 else ""
    return f"{sign}{abs(rounded):,f}"


def _with_unit(figure: str, unit: str) -> str:
    return f"{figure}{NBSP}{unit}" if figure[-1].isdigit() else figure


def _mass(mass_mg: float, step: int, unit: str, places: int, language: str, *, signed: bool) -> str:
    value = _decimal(mass_mg).scaleb(-step) if math.isfinite(mass_mg) else mass_mg
    return _with_unit(number_text(value, places, signed=signed, language=language), unit)


def kg_text(mass_mg: float, places: int, language: str = "en") -> str:
    """A mass given in mg, in kg with as many decimals as its scale shows: "41.83 kg"; NaN is "not known"."""
    return _mass(mass_mg, 6, "kg", places, language, signed=False)


def signed_kg_text(mass_mg: float, places: int, language: str = "en") -> str:
    """A difference given in mg, in kg, sign always shown: "+2.381 kg", "−2.621 kg"; NaN is "not known"."""
    return _mass(mass_mg, 6, "kg", places, language, signed=True)


def g_text(mass_mg: float, places: int = 0, language: str = "en") -> str:
    """A mass given in mg, in g: "895 g"; NaN is "not known"."""
    return _mass(mass_mg, 3, "g", places, language, signed=False)


def signed_g_text(mass_mg: float, places: int = 0, language: str = "en") -> str:
    """A difference given in mg, in g, sign always shown: "−6 g"; NaN is "not known"."""
    return _mass(mass_mg, 3, "g", places, language, signed=True)


def usual_places(mass_mg: float) -> int:
    """Decimals of a kg figure in a sentence, by its size in mg: 2.4, 0.31, 0.057 kg.

    A sentence wants two figures that can be trusted.
    """
    size = abs(mass_mg)
    return 1 if size >= MG_PER_KG else 2 if size >= MG_PER_KG / 10 else 3


def _is_one(frac: float | Decimal) -> bool:
    return frac == 1 or (isinstance(frac, float) and abs(frac - 1) < 1e-13)


def percent_text(frac: float | Decimal, places: int = 1, language: str = "en") -> str:
    """A share in per cent. "100 %" stands for exactly 1 and nothing else: 0.9999 is "99.9 %", 1.0001 is "100.1 %".

    In the same way a share that is not zero never prints as zero: 0.0001 is "< 0.1 %". A float counts as 1 within
    1e-13, the noise of adding shares up: less than a milligram in a thousand tonnes.
    """
    if _is_one(frac) or not math.isfinite(frac):
        return _with_unit(number_text(frac * 100, 0, language=language), "%")
    step, exact = Decimal(1).scaleb(-places), _decimal(frac) * 100
    rounded = exact.quantize(step, ROUND_HALF_UP)
    if rounded == 100:
        rounded = exact.quantize(step, ROUND_FLOOR if exact < 100 else ROUND_CEILING)
    if rounded == 0 and exact:
        edge = f"<{NBSP}" if exact > 0 else f">{NBSP}{MINUS}"
        return f"{edge}{step:f}{NBSP}%"
    return _with_unit(number_text(rounded, places, language=language), "%")


def moisture_text(wet_frac: float | None, places: int = 1, language: str = "en") -> str:
    """Moisture as screens and papers say it: "5.1 % moisture, wet basis"; None is "moisture not measured"."""
    if wet_frac is None:
        return pick(language, "moisture not measured", "水分は未測定")
    figure = _with_unit(number_text(wet_frac * 100, places), "%")
    return pick(language, f"{figure} moisture, wet basis", f"水分 {figure}（湿量基準）")


def count_text(count: int, singular: str = "", plural: str = "") -> str:
    """A count with its noun: "1 tin", "1,206 tins"; without nouns the figure alone."""
    noun = singular if count == 1 else plural or singular
    return f"{number_text(count, 0)} {noun}".rstrip()


def hours_text(hours: float, places: int = 0, language: str = "en") -> str:
    """Hours in words: "1,138 hours", "1 hour"; in Japanese without a space."""
    figure = number_text(hours, places, language=language)
    if not figure[-1].isdigit():
        return figure
    return pick(language, f"{figure} {'hour' if figure == '1' else 'hours'}", f"{figure}時間")


def days_text(days: int, language: str = "en") -> str:
    """Days in words: "23 days", "1 day"; in Japanese without a space."""
    return pick(language, count_text(days, "day", "days"), f"{number_text(days, 0)}日")


def rate_text(rate_g_per_h: float, places: int = 1, language: str = "en") -> str:
    """What a stone pair gives: "40.4 g/h"."""
    return _with_unit(number_text(rate_g_per_h, places, language=language), "g/h")


def weekday_text(day: date, language: str = "en") -> str:
    """Short weekday: "Tue", "火"."""
    return pick(language, _DAYS_EN[day.weekday()][:3], _DAYS_JA[day.weekday()])


def date_text(day: date, language: str = "en") -> str:
    """A date with its weekday, which catches slips: "2026-07-14 (Tue)", "2026-07-14（火）"."""
    name = weekday_text(day, language)
    return f"{day:%Y-%m-%d}（{name}）" if is_japanese(language) else f"{day:%Y-%m-%d} ({name})"


def short_date_text(day: date, language: str = "en") -> str:
    """A date inside a known year, for margins and tables: "07-14 Tue", "07-14 火"."""
    return f"{day:%m-%d} {weekday_text(day, language)}"


def long_date_text(day: date, language: str = "en") -> str:
    """A date for strangers: "Sat 2 May 2026", "2026年5月2日（土）"."""
    name = weekday_text(day, language)
    english = f"{name} {day.day} {_MONTHS_EN[day.month - 1]} {day.year}"
    return pick(language, english, f"{day.year}年{day.month}月{day.day}日（{name}）")


def day_title_text(day: date, language: str = "en") -> str:
    """A day as the title of a page: "Tuesday, 14 July", "7月14日 火曜日"."""
    english = f"{_DAYS_EN[day.weekday()]}, {day.day} {_MONTHS_EN[day.month - 1]}"
    return pick(language, english, f"{day.month}月{day.day}日 {_DAYS_JA[day.weekday()]}曜日")


def month_text(day: date, language: str = "en") -> str:
    """Month and year: "July 2026", "2026年7月"."""
    return pick(language, f"{_MONTHS_EN[day.month - 1]} {day.year}", f"{day.year}年{day.month}月")


def time_text(moment: datetime) -> str:
    """Clock time of a moment, as given: "08:10". Bring it to the mill's zone first."""
    return f"{moment:%H:%M}"


def moment_text(moment: datetime, language: str = "en") -> str:
    """Date, weekday and clock time: "2026-07-14 (Tue) 08:10", "2026-07-14（火）08:10"."""
    space = "" if is_japanese(language) else " "
    return f"{date_text(moment.date(), language)}{space}{time_text(moment)}"
