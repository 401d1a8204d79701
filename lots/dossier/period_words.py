"""Words of the period balance: product groups, the lines of the balance, causes."""

from __future__ import annotations

from django.utils.translation import gettext as _

from lots.balance.period import Column
from lots.dossier.words import loss_word, stage_word, state_word
from lots.trade.stages import STAGES


def group_word(group: str) -> str:
    """Return the word of a product group."""
    words = {
        "fresh leaf": _("fresh leaf"), "crude leaf": _("crude leaf"), "refined leaf": _("refined leaf"), "powder": _("powder"),
        "packed tea": _("packed tea"), "by-products": _("by-products"),
    }
    return words.get(group, group)


def column_word(column: str) -> str:
    """Return the words of one line of a balance."""
    words = {
        Column.OPENING: _("stood here at the beginning"), Column.RECEIVED: _("received: plucked, bought, come back"),
        Column.MADE: _("made from the stage before"), Column.USED: _("went on into the next stage"), Column.OUT: _("went out"),
        Column.DOWNGRADED: _("downgraded"), Column.SAMPLES: _("samples"), Column.LOST: _("lost, with its cause"),
        Column.OWN_USE: _("own use and gifts"), Column.CLOSING: _("stands here at the end"), Column.UNEXPLAINED: _("not explained"),
    }
    return words.get(Column(column), column)


def cause_word(cause: str) -> str:
    """Return the words of a cause: a stage, a named loss, or where something stands."""
    words = {
        "on the shelf": _("on the shelf"), "in the mill": _("in the mill"), "moisture changed": _("its moisture changed on the shelf"),
        "counted": _("found by counting"), "counted with": _("counted together with others"), "on emptying": _("found on emptying"),
        "deducted_water": _("deducted water"), "disposed": _("disposed of"), "destroyed": _("destroyed"),
        "own_use": _("own use"), "gift": _("gifts"), "in_mixer": _("left in the mixer"),
    }
    return words.get(cause) or (stage_word(cause) if cause in STAGES else loss_word(cause))


def group_and_state(group: str, state: str) -> str:
    """Return a product group with its state: "powder, organic"."""
    return _("%(group)s, %(state)s") % {"group": group_word(group), "state": state_word(state)}


def side_word(kind: str) -> str:
    """Return the word of the side of a line."""
    return {"in": _("in"), "out": _("out"), "lost": _("lost"), "difference": _("difference")}.get(kind, kind)
