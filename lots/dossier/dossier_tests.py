"""The chapters on tests: results beside named and dated limits, decisions, certificates, complaints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.dossier import words
from lots.dossier.dossier_balances import verdict_mark
from lots.dossier.eyes import Eyes
from lots.dossier.lab_words import (
    BEARS,
    answer_word,
    compared_words,
    complaint_words,
    decision_words,
    found_words,
    report_words,
    source_words,
)
from lots.models import Certificate, LabResult
from lots.read.limits import Compared
from lots.read.lot_fields import HarvestField
from lots.read.lot_tests import LotTests
from lots.read.names import lot_name
from lots.trade.weighing import Verdict


@dataclass(frozen=True, slots=True)
class ResultRow:
    """One result as printed: the lot, what was found, who found it, and each limit with its answer."""

    lot: str
    parameter: str
    found: str
    report: str
    sha256: str
    answers: tuple[tuple[SafeString, str, str], ...]


class Tests:
    """What was tested, for one reader."""

    def __init__(self, facts: LotTests, fields: Sequence[HarvestField], eyes: Eyes) -> None:
        self.facts, self.eyes = facts, eyes
        self.shown = {field.share.grower_code for field in fields if eyes.sees_grower(field.share.plot)}

    @property
    def day(self) -> str:
        """The day whose limits were taken."""
        return words.day(self.facts.day)

    @property
    def results(self) -> list[ResultRow]:
        """The results."""
        return [result_row(row, told) for row, told in self.facts.results]

    @property
    def not_tested(self) -> str:
        """What stands in the tables of limits and was not tested."""
        return _("; ").join(self.facts.not_tested)

    @property
    def decisions(self) -> list[str]:
        """The decisions on the lot and on what it was made of."""
        return [
            _("%(day)s, lot %(lot)s: %(decision)s") % {
                "day": words.mill_day(one.row.step.happened_at), "lot": lot_name(one.row.lot).name, "decision": decision_words(one),
            }
            for one in self.facts.decisions
        ]

    @property
    def complaints(self) -> list[str]:
        """The complaints, without the persons."""
        return [
            _("%(day)s, lot %(lot)s: %(complaint)s") % {
                "day": words.day(row.received_on), "lot": lot_name(row.lot).name, "complaint": complaint_words(row),
            }
            for row in self.facts.complaints
        ]

    @property
    def certificates(self) -> list[str]:
        """The certificates that this reader may see, and how many are withheld."""
        seen = [row for row in self.facts.certificates if self.eyes.sees_all or row.party.code in self.shown]
        left_out = len(self.facts.certificates) - len(seen)
        more = ngettext(
            "%(count)d certificate is withheld: it names a grower or supplier.",
            "%(count)d certificates are withheld: they name growers or suppliers.", left_out,
        ) % {"count": left_out}
        return [*(self.certificate_words(row) for row in seen), *([more] if left_out else [])]

    def certificate_words(self, row: Certificate) -> str:
        """Return one certificate: what it says, number, issuer, days."""
        held = row.holds_from_on <= self.facts.day <= row.holds_until_on
        return _("%(kind)s, number %(number)s of %(issuer)s, for %(materials)s; %(first)s to %(last)s%(state)s.") % {
            "kind": words.state_word(row.kind), "number": row.number, "issuer": row.issuer, "materials": row.materials,
            "first": row.holds_from_on.isoformat(), "last": row.holds_until_on.isoformat(),
            "state": "" if held else _(", not in force today"),
        }


def result_row(row: LabResult, told: tuple[Compared, ...]) -> ResultRow:
    """Return one result."""
    answers = tuple(
        (verdict_mark(BEARS[one.found.answer], answer_word(one.found.answer)), compared_words(one, words.language()),
         source_words(one.limit))
        for one in told
    )
    none = ((verdict_mark(Verdict.CANNOT, _("no limit")), _("No limit in the tables speaks of it."), ""),)
    return ResultRow(lot_name(row.lot).name, row.parameter, found_words(row), report_words(row), row.file_sha256, answers or none)
