"""The scope of a recall: from the steps that a trace found to series of packs, counts and consignees.

Whole series by default: a series is in or out as its packing step is. A narrower scope is a decision of people, with
its reason, and is not made here.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence

from lots.recall.facts import Delivery, RecallScope, SeriesFact, SeriesScope, ShipmentFact
from lots.recall.ranges import RecallError, Span, Spans, difference, gaps, overlaps, range_words, total_count
from lots.trade.language import Said
from lots.trade.lineage import Tier

_ORDER = {Tier.CONTAINS: 0, Tier.TOUCHED: 1, Tier.EXCLUDED: 2}
_NONE: Mapping[int, str] = {}


def recall_scope(
    descendants: Container[int],
    series: Iterable[SeriesFact],
    shipments: Iterable[ShipmentFact],
    contact_steps: Mapping[int, int | None],
    excluded_steps: Mapping[int, str] = _NONE,
) -> RecallScope:
    """What has to come back when something is wrong with a step, by tiers and with exact lists.

    ``descendants``: the steps that hold something of it, itself included. ``contact_steps``: steps that contact may
    have reached, each with its bound in mg (None: not known). ``excluded_steps``: steps that were looked at and shut
    out, with the reason in words. A step in several counts for the gravest. A series of none of these steps is not part
    of the answer. ``shipments`` may go beyond the series in scope, but not beyond ``series``.

    Facts that contradict each other are taken and asked about in ``questions``. Raises RecallError for two series of
    one id, or a shipment of a series that is not given: a list that silently lacks a consignee would be worse.
    """
    facts = _by_id(series)
    sent = _by_series(shipments, facts)
    found = [
        _series_scope(fact, tier, sent[fact.series], contact_steps, excluded_steps)
        for fact in facts.values()
        if (tier := _tier(fact.step, descendants, contact_steps, excluded_steps)) is not None
    ]
    found.sort(key=lambda each: (_ORDER[each.tier], each.fact.run_code, each.fact.first_no))
    recalled = [each for each in found if each.tier is not Tier.EXCLUDED]
    deliveries = [
        Delivery(shipment, each.fact, each.tier) for each in recalled for shipment in sent[each.fact.series]
    ]
    return RecallScope(
        series=tuple(found),
        exact=_by_consignee(each for each in deliveries if each.shipment.span is not None),
        may_have_received=_by_consignee(each for each in deliveries if each.shipment.span is None),
        questions=(
            *_doubled_numbers(list(facts.values())),
            *(question for each in recalled for question in _questions(each, sent[each.fact.series])),
        ),
    )


def _by_id(series: Iterable[SeriesFact]) -> dict[int, SeriesFact]:
    facts: dict[int, SeriesFact] = {}
    for fact in series:
        if fact.series in facts:
            raise RecallError(f"Pack series {fact.series} was given twice, as {facts[fact.series].lot} and {fact.lot}.")
        facts[fact.series] = fact
    return facts


def _by_series(
    shipments: Iterable[ShipmentFact], facts: Mapping[int, SeriesFact]
) -> Mapping[int, Sequence[ShipmentFact]]:
    sent: dict[int, list[ShipmentFact]] = {series: [] for series in facts}
    for shipment in shipments:
        if shipment.series not in sent:
            raise RecallError(
                f"{shipment.document} to {shipment.consignee} names pack series {shipment.series}, "
                f"which was not looked at. Widen the question to this series."
            )
        sent[shipment.series].append(shipment)
    return sent


def _tier(
    step: int, descendants: Container[int], contact_steps: Container[int], excluded_steps: Container[int]
) -> Tier | None:
    if step in descendants:
        return Tier.CONTAINS
    if step in contact_steps:
        return Tier.TOUCHED
    return Tier.EXCLUDED if step in excluded_steps else None


def _series_scope(
    fact: SeriesFact,
    tier: Tier,
    sent: Sequence[ShipmentFact],
    contact_steps: Mapping[int, int | None],
    excluded_steps: Mapping[int, str],
) -> SeriesScope:
    return SeriesScope(
        fact=fact,
        tier=tier,
        dispatched_count=sum(shipment.dispatched_count for shipment in sent),
        not_sent=_not_sent(fact, sent),
        bound_mg=contact_steps[fact.step] if tier is Tier.TOUCHED else None,
        reason=excluded_steps[fact.step] if tier is Tier.EXCLUDED else "",
    )


def _not_sent(fact: SeriesFact, sent: Sequence[ShipmentFact]) -> Spans | None:
    gone = [shipment for shipment in sent if shipment.dispatched_count]
    spans = [shipment.span for shipment in gone]
    if None in spans or any(shipment.returned_count for shipment in gone):
        return None
    return gaps(fact.span, [span for span in spans if span is not None])


def _by_consignee(deliveries: Iterable[Delivery]) -> Mapping[str, tuple[Delivery, ...]]:
    lists: defaultdict[str, list[Delivery]] = defaultdict(list)
    for each in sorted(deliveries, key=_place):
        lists[each.shipment.consignee].append(each)
    return {consignee: tuple(lists[consignee]) for consignee in sorted(lists)}


def _place(delivery: Delivery) -> tuple[int, str, int, str]:
    shipment = delivery.shipment
    return _ORDER[delivery.tier], shipment.date.isoformat(), shipment.first_no or 0, shipment.document


def _doubled_numbers(facts: Sequence[SeriesFact]) -> Iterable[Said]:
    runs: defaultdict[str, list[Span]] = defaultdict(list)
    for fact in facts:
        runs[fact.run_code].append(fact.span)
    for run_code, spans in sorted(runs.items()):
        if doubled := overlaps(spans):
            numbers = range_words(doubled)
            yield Said(
                f"Run {run_code} has two series with the pack numbers {numbers}. Which one is right?",
                f"包装 {run_code} には番号 {numbers} の続きが二つある。どちらが正しいか。",
            )


def _questions(scope: SeriesScope, sent: Sequence[ShipmentFact]) -> Iterable[Said]:
    fact = scope.fact
    for shipment in sent:
        span = shipment.span
        if span is None:
            continue
        whose, whose_ja = f"{shipment.document} to {shipment.consignee}", f"{shipment.document}（{shipment.consignee} 宛）"
        numbers = range_words([span])
        if span.count != shipment.count:
            yield Said(
                f"{whose}: {shipment.count} packs, but the numbers {numbers} of run {fact.run_code} are {span.count}. Which one is right?",
                f"{whose_ja}：{shipment.count}個とあるが、包装 {fact.run_code} の番号 {numbers} は{span.count}個。どちらが正しいか。",
            )
        if beyond := difference([span], [fact.span]):
            yield Said(
                f"{whose}: run {fact.run_code} has no packs {range_words(beyond)}. Which numbers went?",
                f"{whose_ja}：包装 {fact.run_code} に番号 {range_words(beyond)} はない。どの番号が出たか。",
            )
    doubled = overlaps(shipment.span for shipment in sent if shipment.span is not None)
    if total_count(doubled) > sum(shipment.returned_count for shipment in sent):
        yield Said(
            f"Packs {range_words(doubled)} of run {fact.run_code} were sent twice. Did they come back in between?",
            f"包装 {fact.run_code} の {range_words(doubled)} が二度出ている。間に戻ったか。",
        )
    if scope.by_book_count < 0:
        yield Said(
            f"Run {fact.run_code}, {fact.lot}: {-scope.by_book_count} packs more were kept, destroyed or sent "
            "than were made. Which count is wrong?",
            f"包装 {fact.run_code}、{fact.lot}：作った数より{-scope.by_book_count}個多く、保存、廃棄、出荷されている。どの数が違うか。",
        )
