"""Forms of samples, results, decisions, tastings, complaints and limit tables."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import ChoiceStrip, CountField, MassField, ReasonField, ScanField
from lots.desk.forms.limit_words import LIMIT_STATES
from lots.desk.forms.plain import DayField, WordsField, pick
from lots.desk.forms.registers import NumberField
from lots.desk.forms.seldom import Folded
from lots.desk.forms.weighing import WeighedForm, happened_field, scale_strip
from lots.desk.forms.widgets import Drawn
from lots.models.limits import Basis, Unit
from lots.models.release import LabResult
from lots.record.tasting import MARK_LEAST, MARK_MOST, MARKED

WORDS_MOST = 400
BYTES_MOST = 2_000_000
SERIOUS = (("minor", _("minor")), ("serious", _("serious")), ("health", _("somebody fell ill")))


def answers(choices: Sequence[tuple[str, Any]]) -> list[tuple[str, Any]]:
    """Return stored words with what a hand reads."""
    return [(value, LIMIT_STATES.get(value, value)) for value, _words in choices]


class Checks(Drawn, forms.CheckboxSelectMultiple):
    """Several answers at once, as joined strips."""

    template_name = "parts/widgets/checks.html"


class ManyStrip(forms.MultipleChoiceField):
    """Answers of which several may hold."""

    part: ClassVar[str] = "rest"
    widget = Checks
    default_error_messages = {
        "required": _("Choose at least one."), "invalid_choice": _("%(value)s is not one of the answers. Choose again."),
    }


class SampleForm(WeighedForm):
    """A sample for a laboratory."""

    main_act = _("Write the sample down")
    on_scale = {"scale": ("mass_mg",)}
    seldom = {"scale": _("scale")}

    lot = ScanField(label=_("Scan the lot, or one of its packs"))
    mass_mg = MassField(label=_("Taken, in kilograms"), required=False, help_text=_("Of leaf or powder."))
    pack_count = CountField(label=_("Packs taken"), required=False)
    sample_no = WordsField(label=_("Number on the bag of the sample"), required=True, max_length=40)
    method = WordsField(label=_("How it was taken"), required=True, max_length=80, help_text=_("Such as ISO 1839, six places of the lot."))
    seal_no = WordsField(label=_("Number of the seal"), max_length=40)
    taker = WordsField(label=_("Who took it, if not you"), max_length=120)
    scale = scale_strip()
    happened_at = happened_field(_("When was it taken?"))

    def __init__(self, *args: Any, laboratories: Sequence[tuple[str, Any]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if laboratories:
            self.fields["laboratory"] = pick(_("For which laboratory"), laboratories, required=False)
        self.order_fields([name for name in self.fields if name not in {"scale", "happened_at"}])


class ResultForm(Folded):
    """One result, line by line as the report has it. Unit and basis are never taken for granted."""

    main_act = _("Write the result down")
    seldom = {"accreditation": _("accreditation"), "loq": _("limit of quantification"), "u_expanded": _("uncertainty")}
    usual_reasons = (_("Another report"), _("The report says so"), _("A second vial of the same lot"))

    lot = ScanField(label=_("Scan the lot that was tested"), required=False, help_text=_("Leave it empty where the sample is known."))
    sample_no = WordsField(label=_("Number on the bag of the sample"), max_length=40)
    parameter = WordsField(label=_("What was tested"), required=True, max_length=120)
    found = ChoiceStrip(label=_("What the laboratory found"), choices=answers(LabResult.Found.choices))
    value = NumberField(label=_("The value"), required=False)
    unit = pick(_("Unit"), answers(Unit.choices))
    basis = ChoiceStrip(label=_("Basis"), choices=answers(Basis.choices))
    loq = NumberField(label=_("Limit of quantification, in the same unit"), required=False)
    u_expanded = NumberField(label=_("Expanded uncertainty (k = 2), in the same unit"), required=False)
    method = WordsField(label=_("Method of the laboratory"), required=True, max_length=120)
    accreditation = WordsField(label=_("Accreditation of the laboratory"), max_length=80)
    report_no = WordsField(label=_("Number of the report"), max_length=60)
    reported_on = DayField(label=_("Date of the report"))
    report = forms.FileField(
        label=_("The report"), required=False, widget=forms.FileInput(attrs={"accept": ".pdf,.png,.jpg,.jpeg"}),
        help_text=_("PDF, PNG or JPEG, up to 10 MB. Its hash goes into the journal."),
        error_messages={"empty": _("The file is empty. Choose the report of the laboratory.")},
    )
    report_kept = forms.CharField(required=False, widget=forms.HiddenInput)
    happened_at = happened_field(_("When did it come in?"))

    def __init__(self, *args: Any, laboratories: Sequence[tuple[str, Any]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["laboratory"] = pick(_("Laboratory"), laboratories)
        self.fields["parameter"].widget.attrs["list"] = "parameters"
        self.order_fields(["lot", "sample_no", "parameter", "found", "value", "unit", "basis", "laboratory"])


class DecideForm(ActForm):
    """Release a lot for some markets, or not."""

    main_act = _("Write the decision down")
    usual_reasons = (_("The first vial was mixed up"), _("Tested twice more, both within"), _("No test is asked for by the buyer"))

    verdict = ChoiceStrip(label=_("What is decided"), choices=(("release", _("released")), ("refuse", _("not released"))))
    markets = ManyStrip(label=_("For which markets"), required=False)
    ground = ReasonField(label=_("On what ground: which results, which assessment?"), max_length=WORDS_MOST)
    results = forms.CharField(required=False, widget=forms.HiddenInput)
    happened_at = happened_field(_("When was it decided?"))

    def __init__(self, *args: Any, markets: Sequence[str] = (), results: Sequence[int] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = markets or ("",)
        self.fields["markets"].choices = [(one, one or gettext("any market")) for one in known]  # type: ignore[attr-defined]
        self.fields["results"].initial = " ".join(str(one) for one in results)

    @property
    def named(self) -> list[int]:
        """The results that stood on the page."""
        return [int(one) for one in self.cleaned_data.get("results", "").split() if one.isdecimal()]


class ConfirmForm(ActForm):
    """Confirm a release as the second person."""

    main_act = _("Confirm the release")

    ground = WordsField(label=_("What you looked at yourself"), required=True, max_length=WORDS_MOST)
    happened_at = happened_field(_("When was it confirmed?"))


class TastingForm(ActForm):
    """A tasting of one lot."""

    main_act = _("Write the tasting down")

    lot = ScanField(label=_("Scan the lot, or one of its packs"))
    blind = ChoiceStrip(label=_("Did the taster know the lot?"), choices=(("yes", _("no, blind")), ("no", _("yes"))))
    aroma = WordsField(label=_("Aroma, in words"), max_length=200)
    taste = WordsField(label=_("Taste, in words"), max_length=200)
    tasted_on = DayField(label=_("On which day was it tasted?"))
    happened_at = happened_field(_("When is it written down?"))

    MARK_LABELS: ClassVar[dict[str, Any]] = {
        "aroma": _("Mark for aroma"), "taste": _("Mark for taste"), "colour": _("Mark for colour"), "body": _("Mark for body"),
        "foam": _("Mark for foam"),
    }

    def __init__(self, *args: Any, tasters: Sequence[tuple[str, Any]] = (), taster: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        marks = [(str(n), str(n)) for n in range(MARK_LEAST, MARK_MOST + 1)]
        self.fields["taster"] = pick(_("Who tasted"), tasters)
        self.fields["taster"].initial = taster
        for name in MARKED:
            self.fields[f"{name}_mark"] = ChoiceStrip(label=self.MARK_LABELS[name], choices=marks)
        self.order_fields(["lot", "taster", "blind", "aroma", "aroma_mark", "taste", "taste_mark", *(f"{n}_mark" for n in MARKED[2:])])

    @property
    def marks(self) -> dict[str, int]:
        """The five marks."""
        return {name: int(self.cleaned_data[f"{name}_mark"]) for name in MARKED}


class ComplaintForm(ActForm):
    """A complaint about packs of a lot."""

    main_act = _("Write the complaint down")

    lot = ScanField(label=_("Scan or type the code of the pack, or the lot"))
    what = ReasonField(label=_("What was complained of, in the person's words"), max_length=WORDS_MOST)
    seriousness = ChoiceStrip(
        label=_("How serious is it?"), choices=SERIOUS,
    )
    received_on = DayField(label=_("On which day did it come?"))
    contact = WordsField(label=_("Who complained, and how to reach them"), max_length=200, help_text=_("Kept sealed; it can be erased."))
    done = WordsField(label=_("What was done"), max_length=WORDS_MOST)
    happened_at = happened_field(_("When is it written down?"))


class LimitFileForm(ActForm):
    """A table of limits as a file."""

    main_act = _("Put the table into the book")

    table = forms.FileField(
        label=_("The table as CSV"), widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
        error_messages={"required": _("Choose the file."), "empty": _("The file is empty.")},
    )

    def clean_table(self) -> str:
        """Return the text of the file."""
        file = self.cleaned_data["table"]
        if file.size > BYTES_MOST:
            raise ValidationError(gettext("The file has more than 2 MB; that is no table of limits."))
        try:
            return str(file.read().decode("utf-8-sig"))
        except UnicodeDecodeError as fault:
            raise ValidationError(gettext("The file is not text in UTF-8. Save it as CSV in UTF-8.")) from fault
