"""The year of a plot beside its leaf: trims, and what the neighbours spray."""

from __future__ import annotations

from django.db import models

from lots.models.stages import Detail


class FieldTrim(Detail):
    """A plot trimmed; a trim ``as_plucking`` goes as deep as a plucking and ends a plucking period."""

    plot = models.ForeignKey("lots.FieldPlot", models.PROTECT, related_name="trims")
    trimmed_on = models.DateField()
    as_plucking = models.BooleanField()

    class Meta:
        """Trims."""

        db_table = "field_trim"


class NeighbourNotice(Detail):
    """A neighbour said that something is sprayed beside a plot; ``kept_apart`` is what was done about it."""

    plot = models.ForeignKey("lots.FieldPlot", models.PROTECT, related_name="notices")
    neighbour = models.ForeignKey("lots.PlotNeighbour", models.PROTECT, null=True, related_name="notices")
    sprays_on = models.DateField()
    product = models.CharField(max_length=120, blank=True)
    kept_apart = models.CharField(max_length=120, blank=True)

    class Meta:
        """Notices."""

        db_table = "neighbour_notice"
