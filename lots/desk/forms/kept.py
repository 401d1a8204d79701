"""Forms about kept samples: their place, a round past them, their disposal."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import CountField, ScanField
from lots.desk.forms.many import ManyScanField
from lots.desk.forms.plain import Answers, WordsField, put_answers
from lots.desk.forms.weighing import happened_field


class PlaceForm(ActForm):
    """Where the kept samples of a series stand."""

    main_act = _("Write the place down")

    lot = ScanField(label=_("Scan a kept sample, or the lot of its series"))
    place = WordsField(label=_("Where do they stand? Room, shelf, box"), required=True, max_length=80)
    happened_at = happened_field(_("Since when?"))


class RoundForm(ActForm):
    """A walk past the kept samples."""

    main_act = _("End the round")

    seen = ManyScanField(
        label=_("Scan every sample that stands there"), counted=True,
        help_text=_("One a line. A lot stands for all of its samples; a count may stand behind it."),
    )
    happened_at = happened_field(_("When was it walked?"))


class DisposalForm(ActForm):
    """Kept samples that are thrown away."""

    main_act = _("Write the disposal down")

    lot = ScanField(label=_("Scan a kept sample, or the lot of its series"))
    pack_count = CountField(label=_("How many samples"), most=10_000)
    how = WordsField(label=_("What was done with them?"), required=True, max_length=120)
    happened_at = happened_field(_("When was it?"))

    def __init__(self, *args: Any, people: Answers | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        put_answers(self, "witness", _("Who saw it?"), people)
        self.order_fields(["lot", "pack_count", "how", "witness", "happened_at"])
