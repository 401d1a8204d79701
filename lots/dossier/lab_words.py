"""Results, limits, decisions, tastings and complaints in words, on pages and papers alike."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from lots.dossier import words
from lots.models import Complaint, LabResult, Limit, SensoryNote
from lots.quality.limits import Answer, Doubt
from lots.read.limits import Compared
from lots.read.releases import RELEASE, Decision
from lots.trade.units import number_text
from lots.trade.weighing import Verdict

BEARS = {Answer.WITHIN: Verdict.ADDS_UP, Answer.OVER: Verdict.STOP, Answer.NOT_COMPARABLE: Verdict.CANNOT}
UNIT_SIGNS = {"ug/kg": "µg/kg", "um": "µm"}
PLACES = 1
BEST_OF_MARKET = (Answer.OVER, Answer.WITHIN, Answer.NOT_COMPARABLE)
WORST = (Answer.OVER, Answer.NOT_COMPARABLE, Answer.WITHIN)


def unit_word(unit: str) -> str:
    """Return a unit as print has it."""
    said = {"in 25 g": _("in 25 g"), "% of ash": _("per cent of the ash"), "ratio": ""}
    return said.get(unit, UNIT_SIGNS.get(unit, unit))


def figure_words(text: str, unit: str) -> str:
    """Return a figure with its unit, not parted by a line."""
    return f"{text}\u00a0{unit_word(unit)}".strip()


def basis_word(basis: str) -> str:
    """Return a basis in words."""
    return {"as sold": _("as sold"), "dry": _("on dry mass"), "infusion": _("on the infusion")}.get(basis, basis)


def found_words(row: LabResult) -> str:
    """Return what the laboratory found: "14 ± 3 µg/kg, as sold"."""
    if row.found == LabResult.Found.VALUE:
        told = figure_words(f"{row.value} ± {row.u_expanded}" if row.u_expanded else row.value, row.unit)
    elif row.found == LabResult.Found.BELOW_LOQ:
        told = _("below its limit of quantification, %(loq)s") % {"loq": figure_words(row.loq, row.unit)} if row.loq else _(
            "below a limit of quantification that is not reported")
    else:
        told = _("detected, no value") if row.found == LabResult.Found.DETECTED else _("not detected, no value")
    return _("%(found)s, %(basis)s") % {"found": told, "basis": basis_word(row.basis)}


def answer_word(answer: str) -> str:
    """Return one of the three answers."""
    return {"within": _("within"), "over": _("over"), "not comparable": _("not comparable")}.get(answer, _("no limit"))


def doubt_words(doubt: str) -> str:
    """Return what the expanded uncertainty says to an answer."""
    said = {
        Doubt.BEYOND: _("beyond doubt: also with the expanded uncertainty taken off"),
        Doubt.OVER_IN_DOUBT: _("within its expanded uncertainty; an official control may not count it as over"),
        Doubt.WITHIN_IN_DOUBT: _("its expanded uncertainty reaches over the limit"),
    }
    return said.get(Doubt(doubt), "") if doubt else ""


def limit_words(row: Limit) -> str:
    """Return a limit: "EU: at most 10.0 µg/kg, as sold"."""
    side = _("at least") if row.bound == Limit.Bound.AT_LEAST else _("at most")
    return _("%(market)s: %(side)s %(value)s, %(basis)s") % {
        "market": row.market, "side": side, "value": figure_words(row.value, row.unit), "basis": basis_word(row.basis),
    }


def source_words(row: Limit) -> str:
    """Return where a limit comes from, its version, whether a second person has checked it, and its caution."""
    checked = _("checked by %(badge)s") % {"badge": row.checked_by.code} if row.checked_by else _("not yet checked by a second person")
    said = _("%(clause)s; row %(code)s, version %(version)s; %(checked)s") % {
        "clause": row.clause, "code": row.code, "version": row.version, "checked": checked,
    }
    said = said[:1].upper() + said[1:]
    return _("%(source)s. Caution: %(caution)s") % {"source": said, "caution": row.caution.rstrip(".")} if row.caution else said


def compared_words(one: Compared, language: str) -> str:
    """Return one comparison in a sentence: limit, reason or doubt, and that a row only informs."""
    why = small(one.found.why.text(language)) if one.found.why else doubt_words(one.found.doubt)
    parts = [limit_words(one.limit), why.rstrip(".。"), _("for information only") if one.limit.informs else ""]
    return _("%(what)s.") % {"what": _("; ").join(part for part in parts if part)}


def small(text: str) -> str:
    """Return a sentence that goes on after another: units keep their capitals."""
    return text[:1].lower() + text[1:] if text.startswith(("The ", "No ")) else text


def worst_answer(told: Sequence[Compared]) -> Answer | None:
    """Return the worst answer by market: a market with a row that can be compared is not called incomparable for another row."""
    by_market: dict[str, set[Answer]] = {}
    for one in told:
        by_market.setdefault(one.limit.market, set()).add(one.found.answer)
    own = {next(answer for answer in BEST_OF_MARKET if answer in answers) for answers in by_market.values()}
    return next((answer for answer in WORST if answer in own), None)


def report_words(row: LabResult) -> str:
    """Return who tested, how, and which report says so."""
    parts = [
        row.laboratory.code, row.accreditation, row.method, _("report %(number)s") % {"number": row.report_no} if row.report_no else "",
        words.day(row.reported_on), _("sample %(number)s") % {"number": row.sample.sampletaken.sample_no} if row.sample else "",
    ]
    return _(", ").join(part for part in parts if part)


def decision_words(one: Decision) -> str:
    """Return a decision: what, for which markets, by whom, on what ground, what was not tested."""
    markets = _(", ").join(one.markets)
    what = _("Released for %(markets)s by badge %(badge)s.") if one.part == RELEASE else _("Not released, by badge %(badge)s.")
    parts = [what % {"markets": markets, "badge": one.badge}, _("Ground: %(ground)s.") % {"ground": one.row.ground.rstrip(".。")}]
    if one.second:
        parts.append(_("Confirmed by badge %(badge)s.") % {"badge": one.second})
    elif one.row.needs_second:
        parts.append(_("It does not count yet: a second person has to confirm it."))
    if one.stale:
        parts.append(_("It does not count any more: a result that it names was taken back."))
    parts.append(grounds_words(one))
    return sentences(part for part in parts if part)


def grounds_words(one: Decision) -> str:
    """Return which results a decision names, and what nobody had tested."""
    told = [
        _("%(parameter)s %(answer)s") % {"parameter": ground.result.labresult.parameter, "answer": answer_word(ground.answer)} + (
            _(" (%(limit)s, version %(version)s)") % {"limit": ground.limit.code, "version": ground.limit.version} if ground.limit else "")
        for ground in one.grounds
    ]
    named = _("It names: %(results)s.") % {"results": _("; ").join(told)} if told else _("It names no result: the lot was not tested.")
    if one.row.not_tested:
        named = sentences((named, _("Not tested: %(what)s.") % {"what": one.row.not_tested}))
    return named


def sentences(parts: object) -> str:
    """Return sentences as one text; Japanese needs no space between them."""
    return ("" if words.language() == "ja" else " ").join(parts)  # type: ignore[call-overload,no-any-return]


def tasting_words(row: SensoryNote) -> str:
    """Return a tasting: marks, words, blind or not."""
    marks = _("aroma %(aroma)s, taste %(taste)s, colour %(colour)s, body %(body)s, foam %(foam)s of 5") % {
        "aroma": row.aroma_mark, "taste": row.taste_mark, "colour": row.colour_mark, "body": row.body_mark, "foam": row.foam_mark,
    }
    how = _("Blind.") if row.blind else _("Not blind.")
    said = _("; ").join(text for text in (row.aroma, row.taste) if text)
    parts = (_("%(what)s.") % {"what": marks[:1].upper() + marks[1:]}, how, _("%(what)s.") % {"what": said.rstrip(".。")} if said else "")
    return sentences(part for part in parts if part)


def seriousness_word(seriousness: str) -> str:
    """Return how serious a complaint is."""
    return {"minor": _("minor"), "serious": _("serious"), "health": _("somebody fell ill")}.get(seriousness, seriousness)


def complaint_words(row: Complaint, contact: str = "") -> str:
    """Return a complaint: what, how serious, which pack, what was done."""
    parts = [
        _("“%(what)s” (%(serious)s).") % {"what": row.what.rstrip(".。"), "serious": seriousness_word(row.seriousness)},
        _("Pack %(code)s.") % {"code": row.pack_code} if row.pack_code else "",
        _("From %(who)s.") % {"who": contact} if contact else "",
        _("Done: %(done)s.") % {"done": row.done.rstrip(".。")} if row.done else _("What was done is not written."),
    ]
    return sentences(part for part in parts if part)


def mean_text(marks: Sequence[float]) -> str:
    """Return a mean mark with one decimal."""
    return number_text(sum(marks) / len(marks), PLACES) if marks else ""
