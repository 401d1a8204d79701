"""Field work: a cover that was laid, a treatment that was put on."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import ChoiceStrip, CountField, MeasureField, ScanField
from lots.desk.forms.harvest import FLUSHES
from lots.desk.forms.plain import DayField, WordsField
from lots.desk.forms.seldom import Folded

COVERS = (("trellis", _("on a trellis")), ("direct", _("laid on the bush")))


def plot_field() -> ScanField:
    """The card of a plot."""
    return ScanField(label=_("Scan the card of the plot"), kinds=("name",))


class ShadingForm(Folded):
    """A cover: since when, and until when if it is off again."""

    main_act = _("Write the cover down")
    unmarked = ("uncovered_on",)
    seldom = {"rate_frac": _("light kept away"), "layer_count": _("layers"), "kind": _("trellis or direct")}

    plot = plot_field()
    rate_frac = MeasureField(label=_("Light that it keeps away, per cent"), unit="%", places=0, most=100, required=False)
    layer_count = CountField(label=_("Layers, if more than one"), most=4, required=False)
    covered_on = DayField(label=_("Covered on"))
    uncovered_on = DayField(label=_("Uncovered on, if it is off again"), required=False)
    flush_no = ChoiceStrip(label=_("For which flush?"), choices=FLUSHES)
    kind = ChoiceStrip(label=_("How does it lie?"), choices=COVERS, required=False)


class TreatmentForm(Folded):
    """What was put on a plot, as its packet says."""

    main_act = _("Write the treatment down")
    seldom = {"substance": _("active substance"), "dose": _("dose")}

    plot = plot_field()
    interval_days = CountField(label=_("Days until plucking, as the label says; 0 if none"), most=365, unit=_("days"))
    applied_on = DayField(label=_("Put on, on"))
    product = WordsField(label=_("Product, as the packet says"), required=True, max_length=120)
    substance = WordsField(label=_("Active substance"), max_length=120)
    dose = WordsField(label=_("Dose and water"), max_length=80)
