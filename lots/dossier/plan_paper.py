"""The traceability plan in words, for the page and for the paper: live settings, nothing typed twice."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.dossier import words
from lots.dossier.frames import framed, house_name
from lots.read.plan import Plan
from lots.read.retention import KindKept
from lots.trade.materials import MATERIALS
from lots.trade.stages import STAGES
from lots.trade.units import date_text, number_text


@dataclass(frozen=True, slots=True)
class Pair:
    """A word and what is said of it."""

    name: str
    said: str


class PlanPaper:
    """The plan in the language that is switched on."""

    def __init__(self, facts: Plan) -> None:
        self.facts = facts

    @property
    def title(self) -> str:
        """The title."""
        return _("Traceability plan")

    @property
    def contact(self) -> str:
        """Who answers questions: the house as it is printed."""
        head = self.facts.head
        return ", ".join(part for part in (house_name(head), head.address, head.contact) if part)

    @property
    def how_kept(self) -> list[str]:
        """How records are kept."""
        zone = timezone.get_current_timezone_name()
        return [
            _("Every act is one entry of a journal that is only added to; a correction is an entry of its own and names its reason."),
            _("Each entry keeps when it happened and when it was written, both as UTC; they are shown in %(zone)s.") % {"zone": zone},
            _("Trace in both directions, balances and all lists are worked out from these entries when they are asked for, "
              "and handed out as paper or spreadsheet."),
        ]

    @property
    def lot_rules(self) -> list[Pair]:
        """What makes one lot, and where its code comes from."""
        return [Pair(self.what_of(r.code), f"{self.text_of(r.text, r.text_ja)} {r.codes_from}") for r in self.facts.lot_rules]

    def what_of(self, code: str) -> str:
        """Return of what a rule speaks."""
        return _("every lot") if code.upper() == "ALL" else words.material_word(code)

    def text_of(self, text: str, text_ja: str) -> str:
        """Return a text in the language of the paper."""
        return (words.language() == "ja" and text_ja) or text

    @property
    def stages(self) -> list[Pair]:
        """The stages of the work that open lots, with what they make."""
        return [
            Pair(words.stage_word(stage.key), ", ".join(words.material_word(made) for made in stage.produces if made in MATERIALS))
            for stage in STAGES.values() if stage.produces
        ]

    @property
    def plots(self) -> list[tuple[str, str, str, str, str, str]]:
        """The plot map in words."""
        return [
            (p.code, p.name, p.grower, number_text(p.area_a, 1), ", ".join((words.state_word(p.state), *p.cultivars)), p.place)
            for p in self.facts.plots
        ]

    @property
    def kept(self) -> list[Pair]:
        """How long records are kept."""
        return [Pair(kept_kind(kind), kept_words(kind)) for kind in self.facts.kinds]

    @property
    def trial(self) -> str:
        """By when the recall is to be tried again."""
        due = self.facts.trial_due_on
        if not self.facts.team:
            return _("No recall team is entered yet.")
        return _("To be tried again by %(day)s.") % {"day": self.day(due)} if due else _("A task of the team was never tried.")

    @property
    def versions(self) -> list[tuple[str, str, int, str, int]]:
        """What changed in the last two years."""
        return [(table_word(v.table), v.code, v.version, words.mill_day(v.valid_from_at), v.entry) for v in self.facts.versions]

    def day(self, day: dt.date | None) -> str:
        """Return a day."""
        return date_text(day, words.language()) if day else _("never")

    def pdf(self) -> bytes:
        """Return the paper. Raises PaperFault."""
        return framed("paper/plan.html", self.title, self.facts.head, {"plan": self})


def kept_kind(kind: KindKept) -> str:
    """Return a kind of records in words."""
    told = {
        "field": _("field work and leaf in"), "goods in": _("goods in"), "work in the mill": _("work in the mill"), "packs": _("packs"),
        "going out": _("going out"), "openings": _("openings of pack pages"),
    }
    return told.get(kind.records, kind.records)


def kept_words(kind: KindKept) -> str:
    """Return how long a kind of records is kept, and by which rule."""
    if kind.kept is None:
        return _("no rule is entered")
    rule = kind.kept.rule
    since = _("the best-before day") if rule.since == "best before" else _("the entry")
    return _("%(years)d years from %(since)s (%(source)s)") % {"years": rule.year_count, "since": since, "source": rule.source}


def table_word(table: str) -> str:
    """Return a register of the plan in words."""
    told = {
        "house": _("The house"), "lot_rule": _("Lot rule"), "field_plot": _("Plot"), "retention_rule": _("Retention rule"),
        "recall_team": _("Recall team"), "authority_contact": _("Authority"),
    }
    return told.get(table, table)
