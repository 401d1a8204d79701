"""A packing run that did not happen: its packs are void, and no label is printed for them."""

from __future__ import annotations

import pytest

from lots.dossier.faults import PaperFault
from lots.dossier.label_sheet import pack_sheet
from lots.models import PackMove
from lots.read.labelling import series_faces
from tests.factories import Packed, TakenBack, found_small_mill


def test_void_packs_get_no_label(db: None) -> None:
    found_small_mill()
    run = Packed(maker_ref="K26-X")
    TakenBack(step=run.step_id)
    face = series_faces([run.pk])[0]
    assert PackMove.objects.filter(unit=face.unit, fate="void").exists()
    with pytest.raises(PaperFault, match="Number 3 of K26-X is void"):
        pack_sheet(face, 3, 9)
