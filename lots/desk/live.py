"""The live balance under a form: one sentence, two lengths. Information while typing, never a verdict."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from lots.balance.words import live_sentence
from lots.desk.forms.weighing import WeighedForm
from lots.desk.words import language, material_word, printed
from lots.read.typing import TypedMass, balance_of, rules, typed_line
from lots.trade.weighing import Balance, Side, Weighing


def typed_mass(form: WeighedForm, facts: dict[str, Any], name: str, side: Side, material: str, **more: Any) -> TypedMass:
    """Return a mass of a form that is being typed."""
    strip = next((s for s, masses in form.on_scale.items() if name in masses), "")
    scale = form.scales.get(facts.get(strip) or form.chosen(strip)) if strip else None
    count = facts.get(form.counted_by.get(name, "")) or 1
    return TypedMass(side, material, facts.get(name) or 0, scale, count, **more)


def wet_frac(facts: dict[str, Any], name: str) -> float | None:
    """Return a moisture that was typed, None while it was not."""
    given = facts.get(name)
    return None if given is None else float(given.wet_frac)


def live_balance(put_in: Sequence[Weighing], typed: Sequence[TypedMass], stage: str) -> dict[str, Any]:
    """Return the live part of a form whose inputs are known: the sentence and the two lengths."""
    known = rules()
    lines = [*put_in, *(typed_line(one, known) for one in typed)]
    if not put_in or not any(one.mass_mg for one in typed):
        return {}
    return shown(balance_of(in_words(lines), stage, language()))


def in_words(lines: Sequence[Weighing]) -> list[Weighing]:
    """Return lines by the words of the trade and the codes as people read them, for the sentence about what is missing."""
    return [replace(line, label=material_word(line.label), lot=printed(line.lot)) for line in lines]


def shown(balance: Balance) -> dict[str, Any]:
    """Return a balance as the live part shows it."""
    out_mg = balance.output_mg + balance.lost_mg
    known = math.isfinite(balance.input_mg) and math.isfinite(out_mg)
    lengths = {"in_mg": balance.input_mg, "out_mg": out_mg} if known else {}
    return {"say": live_sentence(balance, language()), **lengths}
