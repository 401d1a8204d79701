"""Balances and sums in one sentence each: verdict first, kilograms second, no sign beside a word.

The headline figure of a fault is |D - E|, how far it lies beyond the usual, the same on every screen.
"""

from __future__ import annotations

from types import MappingProxyType

from lots.balance.totals import Total, left_out_text, worst_of
from lots.trade.language import is_japanese, pick
from lots.trade.units import MG_PER_KG, g_text, kg_text, number_text, usual_places
from lots.trade.weighing import Balance, Verdict

_VERDICTS_JA = MappingProxyType({
    Verdict.ADDS_UP: "合う", Verdict.LOOK: "見る", Verdict.STOP: "止める", Verdict.CANNOT: "判定できず",
})
#: How a stage says that it lost too much, gave too much, and adds up. Japanese: draft for a native reader.
_SAYS_EN = MappingProxyType({
    "drying": ("The oven lost {} too many", "The oven gave {} too many", "The oven adds up"),
    "refining": ("Sorting lost {} too many", "Sorting gave {} too many", "Sorting adds up"),
    "counting": ("The shelf is {} short", "The shelf holds {} too many", "The shelf adds up"),
    "milling": ("The stones lost {} too many", "The stones gave {} too many", "The stones add up"),
    "sieving": ("The sieve lost {} too many", "The sieve gave {} too many", "The sieve adds up"),
    "packing": ("Packing lost {} too many", "Packing gave {} too many", "Packing adds up"),
    "combining": ("The bin lost {} too many", "The bin holds {} too many", "The bin adds up"),
    "blending": ("Blending lost {} too many", "Blending gave {} too many", "The blend adds up"),
    "hiring": ("The other mill lost {} too many", "The other mill gave {} too many", "What came back adds up"),
    "": ("{} too many went missing", "{} too many came out", "It adds up"),
})
_SAYS_JA = MappingProxyType({
    "drying": ("炉で {} 余計に減った", "炉から {} 多く出た", "炉は合う"),
    "refining": ("仕立てで {} 余計に減った", "仕立てから {} 多く出た", "仕立ては合う"),
    "counting": ("棚に {} 足りない", "棚に {} 多くある", "棚は合う"),
    "milling": ("石臼で {} 余計に減った", "石臼から {} 多く出た", "石臼は合う"),
    "sieving": ("篩で {} 余計に減った", "篩から {} 多く出た", "篩は合う"),
    "packing": ("包装で {} 余計に減った", "包装から {} 多く出た", "包装は合う"),
    "combining": ("寄せで {} 余計に減った", "寄せに {} 多くある", "寄せは合う"),
    "blending": ("合組で {} 余計に減った", "合組から {} 多く出た", "合組は合う"),
    "hiring": ("委託先で {} 余計に減った", "委託先から {} 多く戻った", "委託は合う"),
    "": ("{} 余計に減った", "{} 多く出た", "合う"),
})


def verdict_text(verdict: Verdict, language: str = "en") -> str:
    """The word of a verdict: "adds up", "look", "stop", "cannot be judged"; 合う, 見る, 止める, 判定できず."""
    return pick(language, verdict.value, _VERDICTS_JA[verdict])


def amount_text(mass_mg: float, places: int | None = None, language: str = "en") -> str:
    """The size of a difference in mg for a sentence, without its sign: "2.4 kg", "0.31 kg", "57 g".

    ``places`` fixes the decimals of the kilograms; NaN is "not known".
    """
    size = abs(mass_mg)
    if places is not None:
        return kg_text(size, places, language)
    return g_text(size, 0, language) if size < MG_PER_KG / 10 else kg_text(size, usual_places(size), language)


def how_much(balance: Balance, language: str = "en", places: int | None = None) -> str:
    """How far beyond the usual, as a headline: "2.4 kg missing", "2.62 kg too much"; empty where not judged."""
    if balance.z is None:
        return ""
    beyond_mg = balance.d_mg - balance.e_mg
    size = amount_text(beyond_mg, places, language)
    return pick(language, f"{size} missing" if beyond_mg > 0 else f"{size} too much",
                f"{size} 足りない" if beyond_mg > 0 else f"{size} 多い")


def how_far(z: float | None, language: str = "en") -> str:
    """How far from the usual in its own scatter: "8.6 times the usual scatter"; empty where not judged."""
    if z is None:
        return ""
    figure = number_text(abs(z), 1)
    return pick(language, f"{figure} times the usual scatter", f"いつものばらつきの {figure} 倍")


def _two_masses(first_mg: float, second_mg: float, input_mg: float) -> tuple[str, str]:
    """Two masses in the unit and decimals that suit the input; the second without its unit."""
    if abs(input_mg) < MG_PER_KG:
        return g_text(abs(first_mg)), number_text(second_mg / 1e3, 0)
    places = 1 if abs(input_mg) >= 20 * MG_PER_KG else 2
    return kg_text(abs(first_mg), places), number_text(second_mg / 1e6, places)


def _found(balance: Balance, language: str) -> str:
    """What is missing or too many beside what is usual."""
    found, usual = _two_masses(balance.d_mg, balance.e_mg, balance.input_mg)
    over = balance.d_mg < 0
    if not balance.e_mg:
        return pick(language, f"{found} {'too many' if over else 'missing'}", f"{'超過' if over else '不足'} {found}")
    return pick(language, f"{found} too many, usual {usual} missing" if over else f"{found} missing, usual {usual}",
                f"超過 {found}、いつもは不足 {usual}" if over else f"不足 {found}、いつもは {usual}")


def _stop(language: str) -> str:
    return pick(language, ".", "。")


def balance_sentence(balance: Balance, stage: str = "", language: str = "en", places: int | None = None) -> str:
    """A balance in one sentence, as in "Sorting lost 2.4 kg too many." or "The shelf holds 2.6 kg too many.".

    ``stage`` is a key of the catalogue; any other gives a sentence without a subject. Where the balance cannot be
    judged the sentence is its ``why``, in the language that it was closed in.
    """
    if balance.z is None:
        return balance.why
    says = _SAYS_JA if is_japanese(language) else _SAYS_EN
    lost, gave, fits = says.get(stage, says[""])
    if balance.verdict is Verdict.ADDS_UP:
        return f"{fits}{pick(language, ': ', '。')}{_found(balance, language)}{_stop(language)}"
    beyond_mg = balance.d_mg - balance.e_mg
    size = amount_text(beyond_mg, places, language)
    return (lost if beyond_mg > 0 else gave).format(size) + _stop(language)


def total_sentence(total: Total, stage: str = "", language: str = "en", places: int | None = None) -> str:
    """A sum in words: its sentence, a warning where it hides a worse verdict, and how many balances it leaves out."""
    summed = total.balance
    left_out = left_out_text(total.judged_count, total.unjudged_count, language)
    if summed.z is None:
        return left_out
    parts = [balance_sentence(summed, stage, language, places)]
    if worst_of((summed.verdict, total.worst)) is not summed.verdict:
        worst = verdict_text(total.worst, language)
        parts.append(pick(language, f"One of them alone says {worst}; the sum hides it.",
                          f"単独では「{worst}」のものがある。合計には現れない。"))
    return pick(language, " ", "").join([*parts, left_out] if left_out else parts)


def live_sentence(balance: Balance, language: str = "en") -> str:
    """The balance while it is typed: what is still to find, then that it adds up so far.

    "Still to find: 2.4 kg of 58.8." turns into "Adds up so far: 0.4 kg missing, usual 0.5."
    It is information, not a verdict: no word of alarm stands in it.
    """
    if balance.z is None:
        return balance.why
    found, put_in = _two_masses(balance.d_mg, balance.input_mg, balance.input_mg)
    if balance.verdict is Verdict.ADDS_UP:
        return pick(language, "Adds up so far: ", "ここまで合う。") + _found(balance, language) + _stop(language)
    if balance.d_mg > balance.e_mg:
        return pick(language, f"Still to find: {found} of {put_in}.", f"{put_in} のうち、あと {found}。")
    if balance.d_mg >= 0:
        usual = _two_masses(0, balance.e_mg, balance.input_mg)[1]
        return pick(language, f"Only {found} missing, usual {usual}.", f"不足は {found} だけ、いつもは {usual}。")
    return pick(language, f"{found} more came out than the {put_in} that went in.",
                f"入れた {put_in} より {found} 多く出た。")
