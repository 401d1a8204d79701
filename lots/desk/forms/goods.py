"""Forms of goods that come from outside: taken in, sent away, packaging, stock from before the book."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import ChoiceStrip, CountField, MassField, MoistureField
from lots.desk.forms.plain import Answers, RefMixin, WordsField, pick, put_answers, ref_field
from lots.desk.forms.seldom import Folded
from lots.desk.forms.weighing import WeighedForm, happened_field, readings_field, scale_strip
from lots.desk.words import material_word
from lots.models import GoodsReceipt
from lots.record.receiving import Paper
from lots.trade.stages import BOUGHT

WORDS_MOST, PAPER_MOST = 200, 60
STATED_KG_MOST = 10_000
LABEL_CHECKS = (("agrees", _("they agree")), ("differs", _("they differ")), ("no label", _("no label")))
SEALS = (("whole", _("whole")), ("broken", _("broken")), ("none", _("no seal")))
STATES = (("conventional", _("conventional")), ("organic", _("organic")), ("in conversion", _("in conversion")))


def materials_field() -> ChoiceStrip:
    """What can come from outside."""
    return ChoiceStrip(label=_("What came?"), choices=[(key, key) for key in BOUGHT])


def in_words(form: Any) -> None:
    """Name the materials in the language of the page."""
    form.fields["material"].choices = [(key, material_word(key)) for key in BOUGHT]


class PaperForm(Folded):
    """What came with the goods, and what was found when label and paper were held together."""

    paper_no = WordsField(label=_("Number of the paper"), required=True, max_length=PAPER_MOST)
    label_check = ChoiceStrip(label=_("Label and paper"), choices=LABEL_CHECKS)
    label_note = WordsField(label=_("In what do they differ?"), max_length=WORDS_MOST)
    supplier_lot = WordsField(
        label=_("Lot of the supplier"), max_length=PAPER_MOST, help_text=_("Leave it empty where none came: the book gives one."),
    )

    @property
    def paper(self) -> Paper:
        """The paper as the recorders take it."""
        facts = self.cleaned_data
        return Paper(
            facts["paper_no"], facts.get("paper_kind") or "", facts.get("stated_mg"), facts["label_check"], facts["label_note"],
            facts.get("seal") or GoodsReceipt.Seal.NONE,
        )


class AcceptForm(RefMixin, PaperForm, WeighedForm):
    """Leaf or powder that was bought, or comes to be milled for hire."""

    main_act = _("Take the goods in")
    on_scale = {"scale": ("weighed_mg",)}
    counted_by = {"weighed_mg": "reading_count"}
    seldom = {
        "label_note": _("what differs"), "paper_kind": _("kind of the paper"), "reading_count": _("number of weighings"),
        "hold_why": _("hold at once"), "origin": _("origin"), "carrier": _("carrier"), "owner": _("for hire"), "scale": _("scale"),
        "maker_ref": _("own number"),
    }

    material = materials_field()
    weighed_mg = MassField(label=_("What was weighed, in kilograms"))
    stated_mg = MassField(label=_("What the paper says, in kilograms"), required=False, places=3, capacity=STATED_KG_MOST)
    moisture = MoistureField(label=_("Moisture"), required=False)
    reading_count = readings_field()
    seal = ChoiceStrip(label=_("Seal"), choices=SEALS)
    state = ChoiceStrip(label=_("Bought as"), choices=STATES)
    paper_kind = WordsField(label=_("Kind of the paper: delivery note, invoice"), max_length=40)
    hold_why = WordsField(label=_("Hold it at once, because"), max_length=WORDS_MOST)
    origin = WordsField(label=_("Origin, in the words of the supplier"), max_length=WORDS_MOST)
    scale = scale_strip()
    maker_ref = ref_field(_("Own number of the lot"))
    happened_at = happened_field(_("When did it come in?"))

    def __init__(
        self, *args: Any, suppliers: Answers | None = None, carriers: Answers | None = None, owners: Answers | None = None, **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        in_words(self)
        self.fields["supplier"] = pick(_("From whom?"), suppliers.known if suppliers else ())
        put_answers(self, "carrier", _("Who carried it?"), carriers, required=False)
        put_answers(self, "owner", _("Whose goods do they stay?"), owners, required=False)
        self.fields["stated_mg"].help_text = _("The two are held against each other.")
        self.order_fields([
            "supplier", "material", "weighed_mg", "stated_mg", "moisture", "paper_no", "supplier_lot", "label_check", "seal", "state",
            "happened_at", "label_note", "paper_kind", "reading_count", "hold_why", "origin", "carrier", "owner", "scale", "maker_ref",
        ])


class RefuseForm(Folded):
    """Goods that are sent away."""

    main_act = _("Send the goods away")

    material = materials_field()
    stated_mg = MassField(label=_("What the paper says, in kilograms"), required=False, places=3, capacity=STATED_KG_MOST)
    paper_no = WordsField(label=_("Number of the paper"), required=True, max_length=PAPER_MOST)
    supplier_lot = WordsField(label=_("Lot of the supplier"), max_length=PAPER_MOST)
    why = WordsField(label=_("Why are they sent away?"), required=True, max_length=WORDS_MOST)
    happened_at = happened_field(_("When was it?"))

    def __init__(self, *args: Any, suppliers: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_words(self)
        self.fields["supplier"] = pick(_("From whom?"), suppliers.known if suppliers else ())
        self.order_fields(["supplier", "material", "stated_mg", "paper_no", "supplier_lot", "why", "happened_at"])


class PackagingForm(PaperForm):
    """Tins, bags, labels and the like, one lot at a time."""

    main_act = _("Take the packaging in")
    seldom = {"label_note": _("what differs")}

    counted_count = CountField(label=_("How many came, counted"), most=10_000_000)
    stated_count = CountField(label=_("How many the paper says"), required=False, most=10_000_000)
    happened_at = happened_field(_("When did it come in?"))

    def __init__(self, *args: Any, suppliers: Answers | None = None, items: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["item"] = pick(_("What packaging?"), items.known if items else ())
        self.fields["supplier"] = pick(_("From whom?"), suppliers.known if suppliers else ())
        self.order_fields([
            "item", "supplier", "counted_count", "stated_count", "supplier_lot", "paper_no", "label_check", "happened_at", "label_note",
        ])


class OpeningForm(RefMixin, WeighedForm):
    """A lot that stood in the house before the book began."""

    main_act = _("Enter the lot")
    on_scale = {"scale": ("weighed_mg",)}
    counted_by = {"weighed_mg": "reading_count"}
    seldom = {
        "sold_count": _("packs sold before"), "sold_to": _("to whom"), "reading_count": _("number of weighings"), "scale": _("scale"),
        "maker_ref": _("own number"),
    }

    material = materials_field()
    weighed_mg = MassField(label=_("What stands there, in kilograms"))
    moisture = MoistureField(label=_("Moisture"), required=False)
    reading_count = readings_field()
    paper_no = WordsField(label=_("Paper that tells its story"), required=True, max_length=PAPER_MOST)
    origin = WordsField(label=_("What the paper tells of its origin"), required=True, max_length=WORDS_MOST)
    sold_count = CountField(label=_("Packs of it that were sold before"), required=False)
    sold_to = WordsField(label=_("To whom they were sold, and how to reach them"), max_length=WORDS_MOST)
    scale = scale_strip()
    maker_ref = ref_field(_("Own number of the lot"))
    happened_at = happened_field(_("When was it weighed?"))
    field_order = (
        "material", "weighed_mg", "moisture", "paper_no", "origin", "happened_at", "sold_count", "sold_to", "reading_count", "scale",
        "maker_ref",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_words(self)
        self.fields["material"].label = _("What is it?")
