"""The address book of the site for tests that open every screen: which arguments a page takes from one small story."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.core.cache import cache
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from lots.codes.packs import pack_code
from lots.models import Hold, Lot, LotDecision, PackedUnit, PackReturn, PackSecret, SalesOrder, ScaleCheck
from lots.record.registers import KINDS
from tests.checks import check_the_house
from tests.factories import Chain, Counted, Covered, CrudeLeaf, Held, Load, RefinedLeaf, Treated, chain, enter, found_small_mill, kg
from tests.finishing import finish
from tests.house import keep_house
from tests.judging import judge
from tests.sold import sell

#: Addresses that take what a page sends, and show nothing of their own.
TAKERS = {"set_language", "lamp", "sign-out", "read-symbol", "office-accounts-open", "office-accounts-end"}
#: Addresses that hand out a file; tests of the papers open them.
FILES = {"release-report", "recall-report"}
FILE_ENDINGS = ("-csv", "-file")


#: The first plot with its outline, about 30 m by 30 m.
OUTLINE = "35.0100, 135.7600\n35.0100, 135.76033\n35.01027, 135.76033\n35.01027, 135.7600"
LIES = {
    "name": "Lantern Terrace", "area_a": Decimal("9.00"), "altitude_m": 210, "planted_year": 2006, "state": "organic", "grower": "G1",
    "place": "35.01, 135.76", "valley": "Small valley", "disclosed": "plot",
}


@dataclass(frozen=True)
class Story:
    """A small book with something of everything: two chains, a lot that is stopped, a hopper that mills."""

    chain: Chain
    odd: Lot
    held: Hold


def tell() -> Story:
    """Record the story through the recorders."""
    cache.clear()
    found_small_mill()
    Covered()
    enter("plot_neighbour", "N1", plot="P1", side="NE", distance_m=4, grows="rice", kept_apart="hedge", buffer_m=3)
    enter("field_plot", "P1", **LIES, outline=OUTLINE, aspect="SE", slope_frac=Decimal("0.12"), cover="trellis")
    told = chain()
    keep_house()
    Treated(plot="P2")
    # Two kilograms of leaf that nobody wrote down: a page has to say so.
    odd = RefinedLeaf(lot=CrudeLeaf(), refined=kg("5.99", "S2"), reason="Weighed again, the same figure")
    Counted(lot=told.refined)
    finish(told.packed[0])
    judge(told.refined)
    Load(lot=told.refined, pair="SP2", job="J2", charge=kg(Decimal("0.900")))
    sell(told.packed[0])
    check_the_house(told.milled.tubs[1])
    return Story(told, odd, Held(lot=odd))


def pack_of(lot: Lot, pack_no: int = 1) -> str:
    """The code on one pack of a series."""
    unit = PackedUnit.objects.get(lot=lot)
    return pack_code(unit.run_no, unit.first_no + pack_no - 1, bytes(PackSecret.objects.get(pk=unit.run_no).secret))


def stages(story: Story) -> list[Lot]:
    """One lot of each stage, and the one that does not add up."""
    told = story.chain
    return [told.fresh, told.crude, told.refined, told.milled.tubs[0], told.sieved, told.packed[0], told.kept, story.odd]


Arguments = Callable[[Story], list[list[Any]]]
ARGUMENTS: dict[str, Arguments] = {
    "pack": lambda s: [[pack_of(s.chain.packed[0])]],
    "field-plot": lambda _: [["P2"], ["P1"]],
    "release-lot": lambda s: [[s.chain.refined.code], [s.chain.packed[0].code], [s.odd.code]],
    "release-decide": lambda s: [[s.chain.sieved.code]],
    "release-confirm": lambda _: [[LotDecision.objects.get().pk]],
    "holding-release": lambda s: [[s.held.pk]],
    "registers-list": lambda _: [[table] for table in KINDS],
    "registers-enter": lambda _: [["party"], ["stone_pair", "SP1"]],
    "corrections-adjust": lambda s: [[s.odd.step_id]],
    "corrections-reverse": lambda s: [[s.odd.step_id]],
    "lot": lambda s: [[lot.code] for lot in stages(s)],
    "entry": lambda s: [[s.odd.step.entry_id]],
    "checks-doubt": lambda _: [[ScaleCheck.objects.get(within=False).pk]],
    "checks-clear": lambda _: [[ScaleCheck.objects.get(within=False).pk]],
    "packing-run": lambda s: [[s.chain.packed[0].step_id]],
    "dispatch-order": lambda _: [[SalesOrder.objects.order_by("pk")[1].code]],
    "dispatch-return-settle": lambda _: [[PackReturn.objects.order_by("-pk")[0].pk]],
    "balance-node": lambda s: [[s.odd.step_id], [s.chain.milled.run.pk]],
}
#: What a page is asked beside its address.
QUESTIONS: dict[str, Callable[[Story], list[str]]] = {
    "trace": lambda s: ["", f"?code={pack_of(s.chain.packed[0])}", f"?code={s.chain.fresh.code}"],
    "balance": lambda _: ["", "?by=all", "?by=lot", "?by=stage", "?by=week", "?by=machine"],
    "office-plot": lambda _: ["", "?plot=P1"],
    "office-balance-figure": lambda _: ["?group=packed+tea&state=organic&line=out"],
    "dispatch-forget": lambda _: ["", "?who=Ito"],
    "recall": lambda s: ["", f"?lot={s.chain.refined.code}&case=A-1&kind=drill&reason=Smoke"],
}


def patterns(resolver: URLResolver | None = None) -> Iterator[URLPattern]:
    """Every address of the site."""
    for one in (resolver or get_resolver()).url_patterns:
        if isinstance(one, URLResolver):
            yield from patterns(one)
        else:
            yield one


def names() -> list[str]:
    """The url names of the site, each once."""
    return list(dict.fromkeys(one.name for one in patterns() if one.name))


def is_page(name: str) -> bool:
    """Whether an address shows a screen."""
    return name not in TAKERS | FILES and not name.endswith(("-live", *FILE_ENDINGS))


def addresses(name: str, story: Story) -> list[str]:
    """The addresses at which a page is opened."""
    spoken = f"public:{name}" if name == "pack" else name
    bare = [reverse(spoken, args=args) for args in ARGUMENTS.get(name, lambda _: [[]])(story)]
    return [url + asked for url in bare for asked in QUESTIONS.get(name, lambda _: [""])(story)]
