"""The form of season files: what stands where, and between which bounds. Masses in kg as read, moistures as fractions, wet basis."""

from __future__ import annotations

import datetime as dt
import json
import textwrap
from collections.abc import Iterable
from typing import Any

from jsonschema import Draft202012Validator, FormatChecker
from jsonschema.exceptions import ValidationError
from jsonschema.validators import extend

#: No blank at the ends, no sign that cannot be printed.
PRINTED = r"^[^\s\x00-\x1f\x7f\ud800-\udfff](?:[^\x00-\x1f\x7f\ud800-\udfff]*[^\s\x00-\x1f\x7f\ud800-\udfff])?\Z"
KG = {"type": "number", "minimum": 0, "maximum": 100000}
WET = {"type": "number", "minimum": 0, "exclusiveMaximum": 1}
COUNT = {"type": "integer", "minimum": 1, "maximum": 1000000}
COUNT_OR_NONE = {"type": "integer", "minimum": 0, "maximum": 1000000}
CODE = {"type": "string", "minLength": 1, "maxLength": 16, "pattern": PRINTED}
TEXT = {"type": "string", "minLength": 1, "maxLength": 24, "pattern": PRINTED}
WORDS = {"type": "string", "minLength": 1, "maxLength": 80, "pattern": PRINTED}
DAY = {"type": "string", "format": "day of this century"}
MOMENT = {"type": "string", "format": "moment of this century"}
PLATE_KG = {"type": "number", "minimum": 0.000001, "maximum": 1000000}
# A shelf's left-over that was counted back stands as a loss below nothing.
LINE = {
    "type": "array", "minItems": 6, "maxItems": 6,
    "prefixItems": [WORDS, {"type": "number", "minimum": -100000, "maximum": 100000}, WET, TEXT, COUNT, TEXT],
}


def rows(required: dict[str, Any], **optional: Any) -> dict[str, Any]:
    """Return the schema of a list of objects."""
    item = {"type": "object", "required": sorted(required), "properties": {**required, **optional}}
    return {"type": "array", "items": item}


SCALE = {
    "type": "object", "required": ["d", "e", "sr", "cls", "max"],
    "properties": {
        "d": PLATE_KG, "e": PLATE_KG, "sr": {"type": "number", "minimum": 0, "maximum": 1000}, "cls": {"enum": ["I", "II", "III", "IIII"]},
        "max": PLATE_KG,
    },
}
EXPECTED = {
    "type": "object", "required": ["expected_loss_fraction", "sd"],
    "properties": {"expected_loss_fraction": WET, "sd": {"type": "number", "minimum": 0.00001, "exclusiveMaximum": 1}},
}
STAGE_WORDS = ["dry", "refine", "store", "mill", "sieve", "pack"]
FORM = {
    "type": "object",
    "required": ["meta", "plots", "harvest", "refine", "jobs", "runs", "cleaning", "packs", "nodes"],
    "properties": {
        "meta": {
            "type": "object", "required": ["scales", "u_moisture", "stage_expectation"],
            "properties": {
                "time_zone": {"type": "string"},
                "scales": {"type": "object", "minProperties": 1, "propertyNames": TEXT, "additionalProperties": SCALE},
                "u_moisture": {
                    "type": "object", "required": ["fresh", "crude", "refined", "powder"], "additionalProperties": WET,
                    "propertyNames": TEXT,
                },
                "stage_expectation": {
                    "type": "object", "required": STAGE_WORDS, "additionalProperties": EXPECTED,
                },
            },
        },
        "plots": rows(
            {"id": CODE, "name": WORDS, "cv": WORDS, "area": KG, "org": {"enum": ["organic", "in conversion", "conventional"]}},
            alt={"type": "integer", "minimum": -500, "maximum": 9000}, year={"type": "integer", "minimum": 1800, "maximum": 2200},
            grower=WORDS,
        ),
        "harvest": rows({
            "lot": TEXT, "plot": TEXT, "flush": {"type": "integer", "minimum": 1, "maximum": 9}, "date": DAY, "fresh_kg": KG,
            "fresh_w": WET, "bags": COUNT, "crude_kg": KG, "crude_w": WET, "stem_kg": KG, "stem_w": WET,
        }),
        "refine": rows({
            "lot": TEXT, "refined_w": WET, "vein_stem_kg": KG, "fines_kg": KG, "offcolour_kg": KG, "spill_kg": KG,
            "recorded_refined_kg": KG,
        }),
        "jobs": rows({
            "job": TEXT, "lot": TEXT, "powder_w": WET, "through_kg": KG, "oversize_kg": KG, "counted_leaf_left_kg": KG,
            "start": DAY, "end": DAY,
        }),
        "runs": rows({
            "job": TEXT, "pair": COUNT, "n": COUNT, "start": MOMENT, "hours": {"type": "number", "minimum": 0.01, "maximum": 1000},
            "charge_kg": KG, "tub_kg": KG, "hours_since_dressing": {"type": "number", "minimum": 0, "maximum": 1000000},
        }),
        "cleaning": rows({"after": TEXT, "pair": COUNT, "recorded": {"type": "boolean"}}),
        "packs": rows({
            "lot": TEXT, "job": TEXT, "tins_30g": COUNT_OR_NONE, "mean_tin_g": KG, "bags_100g": COUNT_OR_NONE, "mean_bag_g": KG,
            "retained_tins": COUNT_OR_NONE, "bulk_left_kg": KG,
        }),
        "nodes": rows({
            "node": WORDS, "stage": {"enum": STAGE_WORDS}, "inp": {"type": "array", "items": LINE},
            "out": {"type": "array", "items": LINE}, "dec": {"type": "array", "items": LINE},
        }),
    },
}
KINDS = {
    "object": "an object", "array": "a list", "number": "a number", "integer": "a whole number", "string": "a text",
    "boolean": "true or false",
}
FAULTS = {
    "minimum": "{what} is less than {bound}", "maximum": "{what} is more than {bound}",
    "exclusiveMaximum": "{what} is not less than {bound}",
    "enum": "{what} is none of {bound}", "minLength": "an empty text stands here", "maxLength": "{what} has more than {bound} signs",
    "pattern": "{what} has a blank at an end or a sign that cannot be printed", "format": "{what} is no {bound}",
    "minItems": "fewer than {bound} entries stand here", "maxItems": "more than {bound} entries stand here",
    "minProperties": "nothing stands here",
}


def whole(_checker: Any, value: object) -> bool:
    """Return whether a value was written as a whole number: 16.0 bags are none."""
    return isinstance(value, int) and not isinstance(value, bool)


def formats() -> FormatChecker:
    """Return the checks of days and moments, as far as lot codes have digits for the year."""
    checker = FormatChecker(formats=())

    @checker.checks("day of this century", raises=ValueError)
    def day(text: object) -> bool:
        return not isinstance(text, str) or (len(text) == 10 and 2000 <= dt.date.fromisoformat(text).year < 2100)

    @checker.checks("moment of this century", raises=ValueError)
    def moment(text: object) -> bool:
        if not isinstance(text, str):
            return True
        read = dt.datetime.fromisoformat(text)
        return len(text) > 16 and read.utcoffset() is not None and 2000 < read.year < 2099

    return checker


VALIDATOR = extend(Draft202012Validator, type_checker=Draft202012Validator.TYPE_CHECKER.redefine("integer", whole))(
    FORM, format_checker=formats()
)


def place(parts: Iterable[Any]) -> str:
    """Return a place in a file as a person would write it: ``harvest[3].fresh_kg``."""
    text = "".join(f"[{p}]" if isinstance(p, int) else f".{p}" for p in parts).lstrip(".")
    return text or "the whole file"


def sentence(error: ValidationError) -> str:
    """Return what is wrong at a place."""
    what = textwrap.shorten(json.dumps(error.instance, ensure_ascii=False), 60, placeholder=" …")
    if error.validator == "required":
        return f"{next(key for key in error.validator_value if key not in error.instance)} is missing"
    if error.validator == "type":
        return f"{KINDS[str(error.validator_value)]} belongs here, and {what} stands"
    bound = error.validator_value
    said = ", ".join(map(str, bound)) if isinstance(bound, list) else str(bound)
    return FAULTS.get(str(error.validator), "{what} does not fit").format(what=what, bound=said)


def first_fault(plain: object) -> str:
    """Return the place and the words of the first thing that leaves the form; nothing where all is in order."""
    found = sorted(VALIDATOR.iter_errors(plain), key=lambda e: [str(part).zfill(9) for part in e.absolute_path])
    return f"{place(found[0].absolute_path)}: {sentence(found[0])}" if found else ""
