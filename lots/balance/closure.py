"""Does it add up? The dry-matter balance of a step or a closed run."""

from __future__ import annotations

import math
from collections.abc import Sequence
from types import MappingProxyType

from lots.balance.propagation import sums_mg, u_weighted
from lots.trade.language import Refused, pick
from lots.trade.moisture import checked_wet_frac
from lots.trade.weighing import Balance, Expectation, Side, Verdict, Weighing

LOOK_BEYOND = 2.0
STOP_BEYOND = 3.0

_SIGN = MappingProxyType({Side.IN: 1.0, Side.OUT: -1.0, Side.LOST: -1.0})


def verdict_of(z: float) -> Verdict:
    """The word for a distance z from the usual, in its own scatter: look beyond 2, stop beyond 3, on both sides."""
    if abs(z) > STOP_BEYOND:
        return Verdict.STOP
    return Verdict.LOOK if abs(z) > LOOK_BEYOND else Verdict.ADDS_UP


def _name(line: Weighing, language: str) -> str:
    if not line.lot:
        return line.label
    return pick(language, f"{line.label} of {line.lot}", f"{line.lot} の{line.label}")


def _unmeasured(lines: Sequence[Weighing], language: str) -> str:
    """Why moisture keeps the balance from being judged: the first line that lacks it, or its uncertainty."""
    missing = [line for line in lines if line.mass_mg and line.moisture_frac is None]
    if missing:
        name, more = _name(missing[0], language), len(missing) - 1
        others = pick(language, f", and of {more} more" if more else "", f"、ほか {more} 件" if more else "")
        return pick(language, f"Moisture of {name} was not measured{others}. Measure it, and it decides itself.",
                    f"{name}の水分が未測定{others}。測れば決まる。")
    vague = next((line for line in lines if line.mass_mg and line.u_moisture_frac is None), None)
    if vague is None:
        return ""
    name = _name(vague, language)
    return pick(language, f"How well the moisture of {name} is known is not in the book. Say how it was measured.",
                f"{name}の水分の確かさが台帳にない。測定方法を書き入れる。")


def _impossible(lines: Sequence[Weighing], language: str) -> str:
    for line in lines:
        try:
            checked_wet_frac(line.moisture_frac or 0.0)
        except Refused as refusal:
            return f"{_name(line, language)}{pick(language, ': ', '：')}{refusal.text(language)}"
    return ""


def _no_input(input_mg: float, language: str) -> str:
    if input_mg > 0:
        return ""
    return pick(language, "Nothing went in yet, so there is nothing to judge. Book what went in.",
                "まだ何も入っていない。入れた分を書き入れる。")


def _uncertainty(lines: Sequence[Weighing], language: str) -> tuple[float, str]:
    try:
        return u_weighted(lines, _SIGN), ""
    except Refused as refusal:
        return math.nan, refusal.text(language)


def _never_varies(spread_mg: float, language: str) -> str:
    if spread_mg > 0:
        return ""
    return pick(language, "Neither a scale nor a usual scatter is known here. Name the scale.",
                "秤もいつものばらつきも分からない。秤を書き入れる。")


def close(lines: Sequence[Weighing], expectation: Expectation, language: str = "en") -> Balance:
    """Balance the lines of one step or closed run on dry matter and judge it against what the stage usually loses.

    D = in - out - lost, each mass × (1 - moisture); E = loss × input; z = (D - E)/√(u² + (s × input)²). A line of zero
    mass needs no moisture. Where the balance cannot be judged, ``why`` says in ``language`` what is missing and what to
    do, ``z`` is None, and each figure that is not known is NaN, never zero: no side is summed without a line of it.
    """
    why = _unmeasured(lines, language) or _impossible(lines, language)
    sums = sums_mg(lines)
    input_mg, output_mg, lost_mg = sums[Side.IN], sums[Side.OUT], sums[Side.LOST]
    u_mg, beyond = (math.nan, "") if why else _uncertainty(lines, language)
    d_mg, e_mg = input_mg - output_mg - lost_mg, expectation.loss_frac * input_mg
    scatter_mg = expectation.sd_frac * input_mg
    spread_mg = math.hypot(u_mg, scatter_mg)
    why = why or _no_input(input_mg, language) or beyond or _never_varies(spread_mg, language)
    z = None if why else (d_mg - e_mg) / spread_mg
    verdict = Verdict.CANNOT if z is None else verdict_of(z)
    return Balance(input_mg, output_mg, lost_mg, d_mg, u_mg, e_mg, scatter_mg, z, verdict, why)


def is_known(balance: Balance) -> bool:
    """Whether every figure of a balance is known; where not, some of them are NaN."""
    return all(map(math.isfinite, (balance.input_mg, balance.output_mg, balance.lost_mg, balance.u_mg)))
