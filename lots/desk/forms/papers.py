"""What a paper is asked for: where a recall begins, which packs get labels, whose dossier for whose eyes."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import get_language, gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import ChoiceStrip
from lots.desk.forms.moments import read_clock, read_day
from lots.desk.forms.plain import DayField, LongList, WordsField
from lots.desk.forms.widgets import ScanTicket
from lots.dossier.eyes import Reader
from lots.dossier.label_sheet import PER_SHEET
from lots.models import FieldPlot, StonePair
from lots.read.finding import Found, Kind, find
from lots.read.recall_starts import Start, at_lots, at_packaging, at_pair, at_plot
from lots.read.registers import newest

LANGUAGES = (("en", "English"), ("ja", "日本語"))
READERS = ((Reader.BUYER.value, _("a buyer")), (Reader.INSPECTOR.value, _("an inspector")))
DRILLS = (("drill", _("a drill")), ("real", _("real")))
TYPED = {"autocomplete": "off", "autocapitalize": "off", "spellcheck": "false", "lang": "en"}


def found_lots(text: str) -> Found:
    """Return the lots of one step that a text names; raises ValidationError with a sentence for anything else."""
    found = find(text)
    if found.sure:
        return found
    if found.kind is Kind.SEVERAL:
        codes = ", ".join(lot.code for lot in found.lots[:6])
        raise ValidationError(gettext("%(text)s names lots of several steps. Type one of their codes: %(codes)s.") % {
            "text": text, "codes": codes,
        })
    if found.kind is Kind.FALSE_PACK:
        raise ValidationError(gettext("No run of this mill gave out the pack code %(text)s. Look at the pack once more.") % {"text": text})
    raise ValidationError(gettext("No lot and no pack is called %(text)s. Scan the label again, or look under Lots.") % {"text": text})


class LotText(forms.CharField):
    """A lot or a pack, scanned or typed; cleaned to what it names."""

    widget = ScanTicket

    def clean(self, value: Any) -> Any:
        """Return the lots of one step, or nothing where nothing was typed."""
        text = str(super().clean(value) or "").strip()
        return found_lots(text) if text else None


class NumberField(forms.CharField):
    """A whole number from 1 up, typed with or without parted thousands; cleaned to int."""

    widget = forms.TextInput(attrs={**TYPED, "inputmode": "numeric"})

    def clean(self, value: Any) -> Any:
        """Return the number, or None where nothing was typed."""
        text = str(super().clean(value) or "").replace(",", "").replace(" ", "").strip()
        if not text:
            return None
        if not text.isascii() or not text.isdigit() or len(text) > 9:
            raise ValidationError(gettext("“%(text)s” is no whole number.") % {"text": text})
        return int(text)


class MillMoment(forms.CharField):
    """A day, with or without a clock time, at the mill; cleaned to an aware moment. ``end`` takes a bare day to its end."""

    widget = forms.TextInput(attrs=TYPED)

    def __init__(self, *, end: bool = False, **kwargs: Any) -> None:
        super().__init__(required=False, **kwargs)
        self.end = end

    def clean(self, value: Any) -> Any:
        """Return the moment, or None where nothing was typed."""
        text = str(super().clean(value) or "").strip()
        if not text:
            return None
        first, _space, rest = text.partition(" ")
        day, clock = read_day(first, timezone.localdate()), read_clock(rest) if rest.strip() else None
        if day is None or (rest.strip() and clock is None):
            raise ValidationError(gettext("“%(text)s” is no time. Type it as 2026-07-14 or 2026-07-14 08:10.") % {"text": text})
        bare = dt.time.max if self.end else dt.time.min
        return timezone.make_aware(dt.datetime.combine(day, clock or bare))


class LanguageMixin(forms.Form):
    """A form whose paper comes in either language, whatever the desk's."""

    language = ChoiceStrip(label=_("Language of the paper"), choices=LANGUAGES, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["language"].initial = (get_language() or "en")[:2]


class DossierForm(LanguageMixin):
    """Which lot, for whose eyes."""

    lot = LotText(label=_("Scan a lot or a pack"), help_text=_("Or type the code or the house's own number."))
    reader = ChoiceStrip(label=_("Who reads it"), choices=READERS, required=False, initial=Reader.BUYER.value)
    field_order = ("lot", "reader", "language")


class RecallForm(LanguageMixin):
    """Where a recall begins: exactly one of lot or pack, plot, stone pair, packaging lot."""

    lot = LotText(label=_("Scan a lot or a pack"), required=False, help_text=_("Or leave it open and choose a plot or a stone pair."))
    plot = LongList(label=_("Or a plot"), required=False)
    flush_no = NumberField(label=_("Flush"), required=False, help_text=_("Left open: every flush."))
    first_on = DayField(label=_("Plucked from"), required=False)
    last_on = DayField(label=_("Plucked up to"), required=False)
    pair = LongList(label=_("Or a stone pair"), required=False)
    from_at = MillMoment(label=_("Ground from"), help_text=_("A day, or a day and a time: 2026-07-14 08:10."))
    until_at = MillMoment(label=_("Ground up to"), end=True)
    packaging = WordsField(
        label=_("Or a packaging lot"), max_length=40, help_text=_("Its code as it was scanned when labels were counted."),
    )
    case = WordsField(label=_("Case number"), max_length=40)
    kind = ChoiceStrip(label=_("Drill or real"), choices=DRILLS, required=False, initial="drill")
    reason = WordsField(label=_("Why"), max_length=400)
    field_order = (
        "lot", "plot", "flush_no", "first_on", "last_on", "pair", "from_at", "until_at", "packaging", "case", "kind", "reason", "language",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        plots = [(row.code, f"{row.code} {row.name}") for row in newest(FieldPlot)]
        pairs = [(row.code, row.code) for row in newest(StonePair)]
        for name, choices in (("plot", plots), ("pair", pairs)):
            self.fields[name].choices = [("", gettext("none")), *choices]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Ask for exactly one beginning, with the span that it needs."""
        data = super().clean() or {}
        begun = [name for name in ("lot", "plot", "pair", "packaging") if data.get(name)]
        if not self.errors and len(begun) != 1:
            said = gettext("Say where it begins: a lot or pack, a plot, a stone pair, or a packaging lot.") if not begun else (
                gettext("One beginning at a time: leave the others open."))
            self.add_error(begun[1] if begun else "lot", said)
        if data.get("pair") and not (data.get("from_at") and data.get("until_at")):
            self.add_error("from_at" if not data.get("from_at") else "until_at", gettext("Say from when to when the pair ground it."))
        if data.get("from_at") and data.get("until_at") and data["from_at"] > data["until_at"]:
            self.add_error("until_at", gettext("The end lies before the beginning."))
        return data

    def start(self) -> Start:
        """Return where the recall begins."""
        data = self.cleaned_data
        if data["lot"]:
            return at_lots(data["lot"])
        if data["plot"]:
            return at_plot(data["plot"], data["flush_no"], data["first_on"], data["last_on"])
        if data["packaging"]:
            return at_packaging(data["packaging"])
        return at_pair(data["pair"], data["from_at"], data["until_at"])


class LabelForm(LanguageMixin):
    """Which labels: the packs of a series, or lots."""

    KINDS = (("packs", _("the packs of a series")), ("lots", _("lots")))
    kind = ChoiceStrip(label=_("Labels for"), choices=KINDS, required=False, initial="packs")
    lots = forms.CharField(
        label=_("Scan a lot"), help_text=_("Of packs: the lot of the series. Of lots: several, with spaces between."),
        widget=ScanTicket,
    )
    first_no = NumberField(label=_("First pack number"), required=False, help_text=_("Left open: from the first of the series."))
    last_no = NumberField(label=_("Last pack number"), required=False)
    begin_at = NumberField(label=_("First free place on the sheet"), required=False, help_text=_("1 is a whole sheet."))
    field_order = ("kind", "lots", "first_no", "last_no", "begin_at", "language")

    def clean_lots(self) -> list[Found]:
        """Return what each text names."""
        return [found_lots(text) for text in self.cleaned_data["lots"].replace(",", " ").split()]

    def clean_begin_at(self) -> int:
        """Return the first free place."""
        place = self.cleaned_data["begin_at"] or 1
        if place > PER_SHEET:
            raise ValidationError(gettext("A sheet has %(most)s places.") % {"most": PER_SHEET})
        return int(place)
