"""Walks over the derived edges: one recursive query with set semantics, both ways."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import connection

DOWN = """
WITH RECURSIVE reached(id) AS (
  SELECT id FROM step WHERE id IN ({marks})
  UNION SELECT e.step_id FROM reached CROSS JOIN edge e WHERE e.source_id = reached.id
) SELECT id FROM reached ORDER BY id
"""
UP = """
WITH RECURSIVE reached(id) AS (
  SELECT id FROM step WHERE id IN ({marks})
  UNION SELECT e.source_id FROM reached CROSS JOIN edge e WHERE e.step_id = reached.id
) SELECT id FROM reached ORDER BY id
"""
LINKS_UP = """
WITH RECURSIVE reached(id) AS (
  SELECT id FROM step WHERE id IN ({marks})
  UNION SELECT e.source_id FROM reached CROSS JOIN edge e WHERE e.step_id = reached.id
) SELECT e.step_id, e.source_id, e.share_frac FROM reached CROSS JOIN edge e WHERE e.step_id = reached.id
"""


def run(sql: str, step_ids: Iterable[int]) -> list[tuple[int, ...]]:
    """Run one of the walks from the given steps."""
    ids = list(step_ids)
    if not ids:
        return []
    with connection.cursor() as cursor:
        cursor.execute(sql.format(marks=", ".join(["%s"] * len(ids))), ids)
        return cursor.fetchall()


def down(step_ids: Iterable[int]) -> list[int]:
    """Return the steps and everything made of their lots, in order of id."""
    return [row[0] for row in run(DOWN, step_ids)]


def up(step_ids: Iterable[int]) -> list[int]:
    """Return the steps and everything that their leaf came from, in order of id."""
    return [row[0] for row in run(UP, step_ids)]


def links_up(step_ids: Iterable[int]) -> list[tuple[int, int, float]]:
    """Return the edges above the steps as (step, source, share)."""
    return [(step, source, share) for step, source, share in run(LINKS_UP, step_ids)]
