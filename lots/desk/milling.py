"""Stones: the wall, charging a hopper, ending a run."""

from __future__ import annotations

from typing import Any, ClassVar

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from lots.desk.forms.milling import CloseForm, LoadForm
from lots.desk.live import in_words, shown, typed_mass
from lots.desk.pairs import dressed_words, run_words, wall_row, wall_sentence, when_words
from lots.desk.recorded import ready, recorded
from lots.desk.scanned import code_in, lot_code, lot_of, origin_words, told
from lots.desk.weighed import FINE, WeighedView, hint_masses
from lots.desk.words import language, printed
from lots.models import Flow, StonePair
from lots.read.closing import weighings
from lots.read.grinding import job_to_be
from lots.read.milling import run_flows
from lots.read.recent import last_time, recent
from lots.read.registers import named
from lots.read.scanning import leaf_sources, lot_named
from lots.read.stones import PairNow, pairs_now
from lots.read.typing import TypedMass, balance_of, rules, typed_line
from lots.read.waiting import waiting
from lots.record import milling
from lots.record.acts import Act, Receipt
from lots.trade.weighing import Side

BAGS_MOST = 200


def wall(request: HttpRequest) -> HttpResponse:
    """Show the pairs as the board on the wall does."""
    pairs = pairs_now()
    return render(request, "desk/milling.html", {"lead": wall_sentence(pairs), "rows": [wall_row(pair) for pair in pairs]})


class PairView(WeighedView):
    """A screen that begins with the tag of a stone pair."""

    door = "milling"
    usual_scale: ClassVar[dict[str, str]] = {"scale": FINE}

    def pair_of(self, facts: dict[str, Any]) -> PairNow | None:
        """Return the pair that was scanned, as it stands."""
        scanned = facts.get("pair")
        row = named(StonePair, scanned.typed) if scanned else None
        return next(iter(pairs_now([row.code])), None) if row else None

    def pair_read(self, facts: dict[str, Any], pair: PairNow | None) -> str:
        """Return the sentence under the tag."""
        if pair is not None:
            return pair_sentence(pair)
        scanned = facts.get("pair")
        return _("No stone pair %(code)s is in the register.") % {"code": scanned.typed} if scanned else ""

    def run_balance(self, pair: PairNow | None, typed: TypedMass) -> dict[str, Any]:
        """Return how the run adds up with what is being typed."""
        if pair is None or pair.run is None or not typed.mass_mg:
            return {}
        lines = [*weighings(run_flows([pair.run.step])), typed_line(typed, rules())]
        return shown(balance_of(in_words(lines), "milling", language()))


def pair_sentence(pair: PairNow) -> str:
    """Return a pair in words: its run and its leaf."""
    if pair.run is None:
        return _("Pair %(number)s stands idle. %(dressed)s") % {"number": pair.number, "dressed": dressed_words(pair)}
    leaf = lot_named(pair.run.leaf_code)
    origin = origin_words(leaf_sources(leaf.step_id)) if leaf else ""
    words = {"number": pair.number, "run": run_words(pair.run), "leaf": pair.run.leaf, "origin": origin}
    return _("Pair %(number)s, %(run)s. Leaf %(leaf)s, %(origin)s.") % words


class LoadView(PairView):
    """Charge a hopper."""

    form_class = LoadForm
    template_name = "desk/milling_load.html"
    page = "milling-load"

    def dress(self, form: LoadForm) -> None:
        """Show the last charge, and the jobs that are open."""
        last = last_time("milling", "load")
        if last is not None and last.lines:
            form.last_time("charge_mg", last.lines[0].mass_mg)
        jobs = dict.fromkeys(pair.run.job for pair in pairs_now() if pair.run and pair.run.job)
        if jobs:
            open_now = _("Open now: %(jobs)s.") % {"jobs": _(", ").join(jobs)}
            form.fields["job"].help_text = f"{form.fields['job'].help_text} {open_now}"

    def write(self, act: Act, form: LoadForm) -> Receipt:
        """Charge the hopper."""
        facts = form.cleaned_data
        pair, leaf = code_in(StonePair, facts["pair"]), lot_of(facts["lot"])
        return milling.load(
            act, pair=pair, lot=lot_code(facts["lot"]), charge=form.weight("charge_mg"),
            job=facts["job"] or (job_to_be(pair, leaf, act.id) if leaf else ""), happened_at=facts["happened_at"],
        )

    def said(self, _receipt: Receipt, form: LoadForm) -> str:
        """Return the read-back of the charge."""
        facts = form.cleaned_data
        return _("%(mass)s of %(lot)s into pair %(pair)s.") % {
            "mass": form.said("charge_mg"), "lot": facts["lot"].typed, "pair": code_in(StonePair, facts["pair"]),
        }

    def so_far(self, _form: LoadForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say what the pair does, which leaf it is, and since when the hopper lasts."""
        pair, leaf = self.pair_of(facts), lot_of(facts.get("lot"))
        said = []
        if pair is not None and leaf is not None and not facts.get("job") and (job := job_to_be(pair.code, leaf)):
            said.append(_("Other pairs mill this leaf: it goes into their job %(job)s.") % {"job": job})
        if pair is not None and pair.last is not None and facts.get("charge_mg"):
            hours = facts["charge_mg"] / 1000 / pair.last.rate_g_per_h
            said.append(_("At %(rate)s g/h this charge lasts about %(hours)s hours.") % {
                "rate": f"{pair.last.rate_g_per_h:.1f}", "hours": f"{hours:.0f}",
            })
        return {"reads": {"pair": self.pair_read(facts, pair), "lot": told(facts.get("lot"))}, "rate": " ".join(said)}

    def context(self) -> dict[str, Any]:
        """Return the leaf that is ready, and the last charges."""
        return {
            "ready": ready(waiting(["refined_leaf"]), "milling-load", "lot", _("Charge it")),
            "left_over": ready(waiting(["left_over"], BAGS_MOST), "milling-load", "lot", _("Charge it")),
            "recorded": recorded(recent("milling", ("load",))),
        }


class CloseView(PairView):
    """End a run with its left-over."""

    form_class = CloseForm
    template_name = "desk/milling_close.html"
    page = "milling-close"

    def dress(self, form: CloseForm) -> None:
        """Show the last left-over."""
        hint_masses(form, last_time("milling", "close"), {"left_over_mg": "left_over"})

    def write(self, act: Act, form: CloseForm) -> Receipt:
        """End the run."""
        facts = form.cleaned_data
        return milling.close(
            act, pair=code_in(StonePair, facts["pair"]), left_over=form.weight("left_over_mg"), happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, form: CloseForm) -> str:
        """Return the read-back of the end."""
        pair = code_in(StonePair, form.cleaned_data["pair"])
        if not receipt.lots:
            return _("Pair %(pair)s: the run is ended, nothing was left over.") % {"pair": pair}
        return _("Pair %(pair)s: the run is ended, %(mass)s left over: lot %(lot)s.") % {
            "pair": pair, "mass": form.said("left_over_mg"), "lot": printed(receipt.lots[0]),
        }

    def so_far(self, form: CloseForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say how the run adds up with this left-over."""
        pair = self.pair_of(facts)
        leaf = next((f for f in run_flows([pair.run.step]) if f.kind == Flow.Kind.IN), None) if pair and pair.run else None
        like = weighings([leaf])[0] if leaf else None
        typed = typed_mass(form, facts, "left_over_mg", Side.OUT, "left_over", like=like)
        since = _("The run began %(when)s.") % {"when": when_words(pair.run.began_at)} if pair and pair.run else ""
        return {"reads": {"pair": self.pair_read(facts, pair)}, "rate": since, **self.run_balance(pair, typed)}

    def context(self) -> dict[str, Any]:
        """Return the runs that ended last."""
        return {"recorded": recorded(recent("milling", ("close",)))}
