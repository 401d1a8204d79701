"""Room climate: two figures, or the rows of a logger."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.forms.checks import ClimateForm
from lots.desk.recording import ActView
from lots.desk.saying import clock_text, short_day_text
from lots.desk.words import language
from lots.models import ClimateBand, ClimateReading
from lots.read.climate import Outside
from lots.record import climate
from lots.record.acts import Act, Receipt
from lots.trade.units import number_text, percent_text


def band_words(band: ClimateBand) -> str:
    """Return the band of a room."""
    return _("from %(least)s to %(most)s °C and from %(dry)s to %(damp)s") % {
        "least": number_text(band.least_c, 1), "most": number_text(band.most_c, 1),
        "dry": percent_text(band.least_rh_frac, 0, language()), "damp": percent_text(band.most_rh_frac, 0, language()),
    }


def air_words(temperature_c: Any, humidity_frac: Any) -> str:
    """Return the air of a room."""
    return _("%(warm)s °C, %(damp)s") % {"warm": number_text(temperature_c, 1), "damp": percent_text(humidity_frac, 0, language())}


def outside_words(one: Outside) -> str:
    """Return what lay outside the band of a room: how often, when, how far."""
    count = ngettext("%(count)d reading", "%(count)d readings", one.count) % {"count": one.count}
    first = f"{short_day_text(one.first_at)} {clock_text(one.first_at)}"
    last = f"{short_day_text(one.last_at)} {clock_text(one.last_at)}"
    when = first if first == last else _("%(first)s to %(last)s") % {"first": first, "last": last}
    return _("%(room)s: %(count)s outside its band, %(when)s; %(least)s to %(most)s °C, %(dry)s to %(damp)s.") % {
        "room": one.room, "count": count, "when": when, "least": number_text(one.least_c, 1), "most": number_text(one.most_c, 1),
        "dry": percent_text(one.least_rh_frac, 0, language()), "damp": percent_text(one.most_rh_frac, 0, language()),
    }


def all_outside(found: Sequence[Outside]) -> str:
    """Return what lay outside the bands in one paragraph."""
    return " ".join(outside_words(one) for one in found)


class ClimateView(ActView):
    """The air of a room is read."""

    form_class = ClimateForm
    template_name = "desk/climate.html"
    page = "checks-climate"
    door = "checks"
    has_live = False
    links = ("room",)

    def write(self, act: Act, form: ClimateForm) -> Receipt:
        """Write the readings down."""
        facts = form.cleaned_data
        return climate.read(act, room=facts["room"], readings=form.readings, happened_at=facts["happened_at"])

    def said(self, receipt: Receipt, _form: ClimateForm) -> str:
        """Return whether the air lay in its band."""
        row = ClimateReading.objects.select_related("room").get(pk=receipt.step)
        count = ngettext("%(count)d reading", "%(count)d readings", row.reading_count) % {"count": row.reading_count}
        words = {"room": row.room.name, "count": count, "outside": row.outside_count, "band": band_words(row.room)}
        if row.outside_count:
            return _("%(room)s: %(count)s, %(outside)d of them outside the band, %(band)s.") % words
        return _("%(room)s: %(count)s, all in the band.") % words

    def after(self, _receipt: Receipt, _form: ClimateForm) -> str:
        """Back to the checks."""
        return reverse("checks")
