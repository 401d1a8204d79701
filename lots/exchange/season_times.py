"""When the acts of a season happened, where its file does not say: usual hours of the day, moved where the file contradicts them."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from lots.exchange.season_checks import DRIED_AT, ZONE, span
from lots.exchange.season_file import Season


class SeasonTimes:
    """Times of a season's acts in the zone of its factory."""

    def __init__(self, season: Season) -> None:
        self.season = season
        self.zone = ZoneInfo(season.data["meta"].get("time_zone", ZONE))
        self.jobs = {job["job"]: job for job in season.data["jobs"]}
        self.packed = {pack["job"]: f"pack {pack['lot']}" for pack in season.data["packs"]}
        self.harvests = {h["lot"][1:]: h for h in season.data["harvest"]}

    def at(self, day: str, hour: int, minute: int = 0, plus_days: int = 0) -> dt.datetime:
        """Return a time of the factory on a day of the file."""
        return dt.datetime.combine(dt.date.fromisoformat(day) + dt.timedelta(plus_days), dt.time(hour, minute), self.zone)

    def sorted_at(self, lot: str) -> dt.datetime:
        """Return when a lot was sorted, which the file does not say: three days after plucking, or before its first charge."""
        day = self.harvests[lot[1:]]["date"]
        jobs = {job["job"] for job in self.season.data["jobs"] if job["lot"] == lot}
        charged = [span(run)[0] - dt.timedelta(minutes=30) for run in self.season.data["runs"] if run["job"] in jobs]
        return max(self.at(day, DRIED_AT.hour), min([self.at(day, 17, 52, plus_days=3), *charged]))

    def between_jobs(self, job: str, pair: int, minute: int) -> dt.datetime:
        """Return a time after the last tub of a run and before the pair's next job: in the morning of the job's end if it can be."""
        runs = [run for run in self.season.data["runs"] if run["pair"] == pair]
        off = max(span(run)[1] for run in runs if run["job"] == job)
        later = [span(run)[0] for run in runs if run["job"] != job and span(run)[0] >= off]
        return min([max(self.at(self.jobs[job]["end"], 8, minute), off), *later])

    def after_tubs(self, job: str, hour: int, minute: int = 0, plus_days: int = 0) -> dt.datetime:
        """Return a time of the job's last day, but not before its last tub."""
        offs = [span(run)[1] for run in self.season.data["runs"] if run["job"] == job]
        return max(self.at(self.jobs[job]["end"], hour, minute, plus_days), *offs)
