"""Where the parts of a season file do not fit each other: names that nothing carries or that stand twice, times out of order."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

Data = dict[str, Any]
ZONE = "Asia/Tokyo"
DRIED_AT = dt.time(16)


def contradictions(data: Data) -> Iterator[str]:
    """Yield each place where a file contradicts itself, with what is wrong there. Later checks trust the earlier ones."""
    if data["meta"].get("time_zone", ZONE) not in available_timezones():
        yield f"meta.time_zone: {data['meta']['time_zone']} is no time zone of the world"
    yield from names_used_twice(data)
    yield from names_of_nothing(data)
    yield from lines_of_nodes(data)
    yield from empty_runs(data)
    yield from crossed_runs(data)
    yield from times_out_of_order(data)


def names_used_twice(data: Data) -> Iterator[str]:
    """Yield names that stand twice in their table, and those that two tables would give to different lots."""
    for table, key in (("plots", "id"), ("harvest", "lot"), ("refine", "lot"), ("jobs", "job"), ("packs", "lot"), ("nodes", "node")):
        yield from doubled(data, table, key)
    taken: dict[str, str] = {}
    for where, name in references(data):
        if name in taken:
            yield f"{where}: another lot has the name {name} already ({taken[name]})"
        taken.setdefault(name, where)


def references(data: Data) -> Iterator[tuple[str, str]]:
    """Yield the name of every lot that a file opens, with its place: leaf, crude leaf, refined leaf, tubs, left-over, powder, packs."""
    for i, row in enumerate(data["harvest"]):
        yield f"harvest[{i}].lot", row["lot"]
        yield f"harvest[{i}].lot", f"C{row['lot'][1:]}"
    for table in ("refine", "packs"):
        for i, row in enumerate(data[table]):
            yield f"{table}[{i}].lot", row["lot"]
    for i, job in enumerate(data["jobs"]):
        yield f"jobs[{i}].job", f"S{job['job'][1:]}"
        for pair in sorted({run["pair"] for run in data["runs"] if run["job"] == job["job"]}):
            yield f"jobs[{i}].job", f"B{job['job'][1:]}-{pair}"
    for i, run in enumerate(data["runs"]):
        yield f"runs[{i}]", f"T{run['job'][1:]}-{run['pair']}-{run['n']}"


def names_of_nothing(data: Data) -> Iterator[str]:
    """Yield names that nothing carries."""
    yield from unknown(data, "harvest", "plot", {p["id"] for p in data["plots"]}, "plot")
    ends = {h["lot"][1:] for h in data["harvest"]}
    for i, refine in enumerate(data["refine"]):
        if refine["lot"][1:] not in ends:
            yield f"refine[{i}].lot: no harvest belongs to {refine['lot']}"
    yield from unknown(data, "jobs", "lot", {r["lot"] for r in data["refine"]}, "refined lot")
    jobs = {j["job"] for j in data["jobs"]}
    for table, key in (("runs", "job"), ("cleaning", "after"), ("packs", "job")):
        yield from unknown(data, table, key, jobs, "job")
    ran = {(run["job"], run["pair"]) for run in data["runs"]}
    for i, clean in enumerate(data["cleaning"]):
        if (clean["after"], clean["pair"]) not in ran:
            yield f"cleaning[{i}].pair: pair {clean['pair']} did not run in job {clean['after']}"
    for i, job in enumerate(data["jobs"]):
        if job["job"] not in {name for name, _ in ran}:
            yield f"jobs[{i}].job: no run belongs to {job['job']}"
    for i, pack in enumerate(data["packs"]):
        if not pack["tins_30g"] + pack["bags_100g"] + pack["retained_tins"]:
            yield f"packs[{i}]: nothing was filled"


def lines_of_nodes(data: Data) -> Iterator[str]:
    """Yield lines of balance nodes on a scale that is not there, and masses below nothing where no shelf counts them back."""
    for i, node in enumerate(data["nodes"]):
        for side in ("inp", "out", "dec"):
            for k, line in enumerate(node[side]):
                if line[3] not in data["meta"]["scales"]:
                    yield f"nodes[{i}].{side}[{k}]: scale {line[3]} is not in meta.scales"
                if line[1] < 0 and (node["stage"], side) != ("store", "dec"):
                    yield f"nodes[{i}].{side}[{k}]: {line[1]} kg is less than nothing"


def doubled(data: Data, table: str, key: str) -> Iterator[str]:
    """Yield a name that stands twice in one table."""
    counts = Counter(row[key] for row in data[table])
    for i, row in enumerate(data[table]):
        if counts[row[key]] > 1:
            yield f"{table}[{i}].{key}: {row[key]} stands {counts[row[key]]} times"


def unknown(data: Data, table: str, key: str, known: set[str], what: str) -> Iterator[str]:
    """Yield a name that nothing carries."""
    for i, row in enumerate(data[table]):
        if row[key] not in known:
            yield f"{table}[{i}].{key}: there is no {what} {row[key]}"


def empty_runs(data: Data) -> Iterator[str]:
    """Yield runs without charge or tub."""
    for i, run in enumerate(data["runs"]):
        for key in ("charge_kg", "tub_kg"):
            if not run[key]:
                yield f"runs[{i}].{key}: nothing was weighed"


def span(run: Data) -> tuple[dt.datetime, dt.datetime]:
    """Return when a run was charged and when its tub was taken off."""
    start = dt.datetime.fromisoformat(run["start"])
    return start, start + dt.timedelta(hours=float(run["hours"]))


def crossed_runs(data: Data) -> Iterator[str]:
    """Yield runs that begin on a pair before its run before has ended, and jobs that take turns on one pair."""
    pairs: dict[int, list[tuple[dt.datetime, dt.datetime, int]]] = defaultdict(list)
    for i, run in enumerate(data["runs"]):
        pairs[run["pair"]].append((*span(run), i))
    for pair, spans in pairs.items():
        seen: list[str] = []
        for (_, end, before), (start, _, i) in pairwise(sorted(spans)):
            if start < end:
                begun = data["runs"][min(before, i)]["start"]
                yield f"runs[{max(before, i)}].start: pair {pair} is still in its run that begins at {begun}"
            job, last = data["runs"][i]["job"], data["runs"][before]["job"]
            if job != last:
                seen.append(last)
            if job in seen:
                yield f"runs[{i}].job: pair {pair} has run another job since {job}"


def times_out_of_order(data: Data) -> Iterator[str]:
    """Yield jobs that end before they begin, leaf that is milled before it was dried, and tubs taken off after their job's end."""
    zone = ZoneInfo(data["meta"].get("time_zone", ZONE))
    plucked = {h["lot"][1:]: dt.date.fromisoformat(h["date"]) for h in data["harvest"]}
    jobs = {job["job"]: job for job in data["jobs"]}
    for i, job in enumerate(data["jobs"]):
        if job["end"] < job["start"]:
            yield f"jobs[{i}].end: {job['end']} lies before the job's start, {job['start']}"
    for i, run in enumerate(data["runs"]):
        job, (start, end) = jobs[run["job"]], span(run)
        day = plucked[job["lot"][1:]]
        if start < dt.datetime.combine(day, DRIED_AT, zone):
            yield f"runs[{i}].start: the leaf of {job['lot']} was plucked on {day} and cannot be on the stones at {run['start']}"
        if end.astimezone(zone).date() > dt.date.fromisoformat(job["end"]):
            yield f"runs[{i}].hours: the tub comes off after the end of job {run['job']}, {job['end']}"
