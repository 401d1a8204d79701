"""The templates of the papers ask for nothing that the papers do not have: Django would print nothing and say nothing."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import override_settings

from lots.dossier.delivery_slip import DeliverySlip
from lots.dossier.lot_dossier import LotPaper
from lots.dossier.pdf import Head, page_of
from lots.dossier.recall_report import RecallReport
from lots.dossier.recall_words import Case
from lots.models import Consignment
from lots.read.delivery import delivery
from lots.read.finding import find
from lots.read.recall_starts import at_plot
from lots.read.recalling import recall

ASKED = re.compile(r"(?<![\w.\"'/])(it|report|case|slip)((?:\.[a-z_]+)+)")


def templates() -> list[Path]:
    return sorted((Path(settings.BASE_DIR) / "templates" / "paper").glob("*.html"))


def asked_for(name: str) -> Iterator[tuple[str, str]]:
    """Every dotted name of one root, with the file that asks for it."""
    for path in templates():
        for root, rest in ASKED.findall(path.read_text(encoding="utf-8")):
            if root == name:
                yield path.name, rest[1:]


def reach(thing: Any, dotted: str) -> Any:
    for part in dotted.split("."):
        thing = getattr(thing, part)
    return thing


def test_every_name_that_a_template_asks_for_is_there(demo: None) -> None:
    sent = delivery(Consignment.objects.order_by("pk")[0].pk)
    assert sent is not None
    roots = {
        "it": LotPaper(find("K26-06").lots), "report": RecallReport(recall(at_plot("P1"))), "case": Case(), "slip": DeliverySlip(sent),
    }
    missing = []
    for root, thing in roots.items():
        asked = list(asked_for(root))
        assert asked
        for file, dotted in asked:
            try:
                reach(thing, dotted)
            except AttributeError as fault:
                missing.append(f"{file}: {root}.{dotted}: {fault}")
    assert missing == []


@pytest.mark.parametrize("name", ["paper/dossier.html", "paper/recall.html"])
def test_no_place_on_a_paper_stays_empty_by_mistake(demo: None, name: str) -> None:
    from lots.dossier.frames import page_words

    paper = LotPaper(find("K26-06").lots)
    report = RecallReport(recall(at_plot("P1")), Case("1", reason="a reason"))
    shared = {"house": paper.facts.head, "house_name": "n", "title": "t", "page_words": page_words(), "as_of": "a", "entry_count": "1"}
    own = {"it": paper} if "dossier" in name else {"report": report, "case": report.case}
    loud = [{**settings.TEMPLATES[0], "OPTIONS": {**settings.TEMPLATES[0]["OPTIONS"], "string_if_invalid": "MISSING[%s]"}}]
    with override_settings(TEMPLATES=loud):
        page = page_of(name, {**shared, **own}, Head("t", paper.facts.head.last_entry_at))
    assert re.findall(r"MISSING\[[^]]*\]", page) == []
