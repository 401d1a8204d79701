"""Field work: a cover that was laid, a treatment that was put on."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import ChoiceStrip, CountField, MeasureField, ScanField
from lots.desk.forms.harvest import FLUSHES
from lots.desk.forms.plain import Answers, DayField, WordsField, put_answers
from lots.desk.forms.seldom import Folded

DEEP, LIGHT = "deep", "light"
KINDS = (("pesticide", _("pesticide")), ("fertiliser", _("fertiliser")), ("other", _("other")))
COVERS = (("trellis", _("on a trellis")), ("direct", _("laid on the bush")))


def plot_field() -> ScanField:
    """The card of a plot."""
    return ScanField(label=_("Scan the card of the plot"), kinds=("name",))


class ShadingForm(Folded):
    """A cover: since when, and until when if it is off again."""

    main_act = _("Write the cover down")
    unmarked = ("uncovered_on",)
    seldom = {"rate_frac": _("light kept away"), "layer_count": _("layers"), "kind": _("trellis or direct"),
              "material": _("material"), "leaf_stage": _("leaves open")}

    plot = plot_field()
    rate_frac = MeasureField(label=_("Light that it keeps away, per cent"), unit="%", places=0, most=100, required=False)
    layer_count = CountField(label=_("Layers, if more than one"), most=4, required=False)
    covered_on = DayField(label=_("Covered on"))
    uncovered_on = DayField(label=_("Uncovered on, if it is off again"), required=False)
    flush_no = ChoiceStrip(label=_("For which flush?"), choices=FLUSHES)
    kind = ChoiceStrip(label=_("How does it lie?"), choices=COVERS, required=False)
    material = WordsField(label=_("Material of the cover"), max_length=80)
    leaf_stage = WordsField(label=_("Leaves that were open when it went on, such as 1.5"), max_length=40)


class TreatmentForm(Folded):
    """What was put on a plot, as its packet says."""

    main_act = _("Write the treatment down")
    seldom = {
        "kind": _("pesticide or fertiliser"), "substance": _("active substance"), "dose": _("dose"), "water_l_per_10_a": _("water"),
        "uses_most_count": _("uses that the label allows"), "batch": _("number of the packet"), "operator": _("who put it on"),
    }

    plot = plot_field()
    interval_days = CountField(label=_("Days until plucking, as the label says; 0 if none"), most=365, unit=_("days"))
    applied_on = DayField(label=_("Put on, on"))
    product = WordsField(label=_("Product, as the packet says"), required=True, max_length=120)
    substance = WordsField(label=_("Active substance"), max_length=120)
    kind = ChoiceStrip(label=_("What is it?"), choices=KINDS, required=False)
    dose = WordsField(label=_("Dose, with its unit, as the packet says"), max_length=80)
    water_l_per_10_a = CountField(label=_("Water, in litres for 10 a"), unit=_("litres"), most=5_000, required=False)
    uses_most_count = CountField(label=_("Uses between two pluckings that the label allows"), most=20, required=False)
    batch = WordsField(label=_("Number of the packet"), max_length=40)

    def __init__(self, *args: Any, operators: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        put_answers(self, "operator", _("Who put it on?"), operators, required=False)


class TrimForm(ActForm):
    """A plot that was cut back."""

    main_act = _("Write the trim down")

    plot = plot_field()
    trimmed_on = DayField(label=_("Trimmed on"))
    depth = ChoiceStrip(label=_("How deep?"), choices=((DEEP, _("as deep as a plucking")), (LIGHT, _("lighter"))))


class NoticeForm(ActForm):
    """What a neighbour sprays beside a plot."""

    main_act = _("Write the notice down")

    plot = plot_field()
    sprays_on = DayField(label=_("They spray on"))
    product = WordsField(label=_("What they spray"), max_length=120)
    kept_apart = WordsField(label=_("What is done about it: rows left, a cover, a later plucking"), max_length=120)

    def __init__(self, *args: Any, neighbours: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        put_answers(self, "neighbour", _("Which neighbour?"), neighbours, required=False)
