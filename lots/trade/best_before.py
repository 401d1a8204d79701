"""Best-before by rule: so many days or months from packing or from milling, printed as a day or as year and month."""

from __future__ import annotations

import calendar
import datetime as dt
from dataclasses import dataclass

from lots.trade.language import Refused, pick
from lots.trade.units import count_text, days_text

MONTHS_A_YEAR = 12
#: A pack that keeps for more than so many months may carry year and month alone (Food Labeling Standards of Japan).
MONTH_FORM_OVER = 3
MILLING, MONTH = "milling", "month"


@dataclass(frozen=True, slots=True)
class BestBefore:
    """The rule of a product: ``keeps_months`` months, or where these are 0 ``keeps_days`` days, from ``keeps_from``
    (packing or milling); ``form`` is day or month."""

    keeps_days: int
    keeps_months: int = 0
    keeps_from: str = "packing"
    form: str = "day"

    def on(self, start_on: dt.date) -> dt.date:
        """Return the best-before day of a pack whose time begins on ``start_on``.

        A month counts to the same day, or to the last of a shorter month. With year and month alone the day is rounded
        down to the end of a month, so that print never promises more than the rule. Raises `Refused` where the rule keeps
        nothing, or is too short for year and month alone.
        """
        if self.keeps_months < 1 and self.keeps_days < 1:
            raise Refused(
                "The product has no best-before rule. Enter in its register how long it keeps.",
                "この製品には賞味期限の決まりがありません。登録簿に保存期間を書いてください。",
            )
        end = months_later(start_on, self.keeps_months) if self.keeps_months > 0 else start_on + dt.timedelta(days=self.keeps_days)
        if self.form != MONTH:
            return end
        if end <= months_later(start_on, MONTH_FORM_OVER):
            raise Refused(
                "Year and month alone are for packs that keep for more than three months. Print the day.",
                "年月だけの表示は期間が3か月を超えるものに限ります。年月日で表示してください。",
            )
        return end if is_month_end(end) else end.replace(day=1) - dt.timedelta(days=1)

    def words(self, language: str = "en") -> str:
        """Return the rule in words: "6 months from packing, printed as year and month"."""
        months = pick(language, count_text(self.keeps_months, "month", "months"), f"{self.keeps_months}か月")
        long = months if self.keeps_months > 0 else days_text(self.keeps_days, language)
        start = ("from milling", "挽いた日から") if self.keeps_from == MILLING else ("from packing", "包装日から")
        form = ("as year and month", "年月で表示") if self.form == MONTH else ("as a day", "年月日で表示")
        return pick(language, f"{long} {start[0]}, printed {form[0]}", f"{start[1]}{long}、{form[1]}")


def months_later(day: dt.date, months: int) -> dt.date:
    """Return the same day so many months later, the last of the month where that is shorter."""
    years, month = divmod(day.month - 1 + months, MONTHS_A_YEAR)
    year, month = day.year + years, month + 1
    return day.replace(year=year, month=month, day=min(day.day, calendar.monthrange(year, month)[1]))


def is_month_end(day: dt.date) -> bool:
    """Whether a day is the last of its month."""
    return day.day == calendar.monthrange(day.year, day.month)[1]
