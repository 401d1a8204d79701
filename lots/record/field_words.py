"""The names of fields as sentences give them: the field's own name in English, its word of the trade in other languages."""

from __future__ import annotations

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _

#: Every field that a hand can fill, so that the catalogue finds its name.
NAMES = (
    _("Code"), _("Version"), _("Valid from at"), _("Retired"), _("Name"), _("Name ja"), _("Address"), _("Contact"),
    _("Moisture ceiling frac"), _("Keeping"), _("Keeping ja"), _("Roles"), _("Login"), _("Registered as"), _("Source"),
    _("Area a"), _("Altitude m"), _("Planted year"), _("State"), _("Grower"), _("Place"), _("Valley"), _("Disclosed"), _("Plot"),
    _("Cultivar"), _("Kind"), _("Equipment"), _("Upper"), _("Lower"), _("Pin"), _("Dressed h"), _("Aperture um"),
    _("Division mg"), _("Interval mg"), _("U repeat mg"), _("Accuracy class"), _("Capacity mg"), _("Decimals count"),
    _("Net mg"), _("Keeps days"), _("Loss frac"), _("Sd frac"), _("Lot count"), _("U moisture frac"), _("Assumed frac"),
    _("Happened at"), _("Reason"), _("Maker ref"), _("Material"), _("Mass mg"), _("Owner"), _("Holder"), _("Role"), _("Lot"),
    _("Reading count"), _("Moisture frac"), _("Moisture how"), _("Scale"), _("Flush no"), _("Covered on"), _("Uncovered on"),
    _("Layer count"), _("Rate frac"), _("Cover"), _("Applied on"), _("Product"), _("Substance"), _("Dose"), _("Interval days"),
    _("Plucked on"), _("Bag count"), _("Basis"), _("Steamed at"), _("Lower tier c"), _("Pass count"), _("Screens"), _("Pair"),
    _("Job"), _("Ground h"), _("Left over mg"), _("Opened"), _("Result"), _("Screen"), _("Oversize fate"), _("Consignee"),
    _("Document no"), _("Carrier"), _("Recipient"), _("Counted mg"), _("Grade"), _("Shelf"), _("First no"), _("Last no"),
    _("Mean mg"), _("Retained"), _("Packed on"), _("Best before on"), _("Pack count"), _("What to do"), _("What to do ja"),
    _("Aspect"), _("Slope frac"), _("State from on"), _("Outline"), _("Side"), _("Distance m"), _("Grows"), _("Kept apart"),
    _("Buffer m"), _("Water l per 10 a"), _("Uses most count"), _("Batch"), _("Operator"), _("Trimmed on"), _("As plucking"),
    _("Neighbour"), _("Sprays on"), _("Plucked until at"), _("Method"), _("Leaf wet"), _("Team"), _("Water reason"), _("Bag no"),
    _("Rows"), _("Material"), _("Leaf stage"), _("Plucked from at"),
    _("Holds"), _("Held count"), _("Case"), _("Sales unit"), _("Unit"), _("Why"), _("Order"), _("Ship to"), _("Bill to"), _("Wanted on"),
    _("Reference"), _("Market"), _("Carrier contact"), _("Ship from"), _("Least c"), _("Most c"), _("Consignment"), _("Sender"),
    _("Fate"), _("Witness"), _("Evidence"), _("Returned"), _("Commitment"), _("Control body"),
    _("Keeps months"), _("Keeps from"), _("Best before form"), _("Sample days"), _("Ingredients"), _("Origin"), _("Origin valley"),
    _("Origin claim"), _("Storage"), _("Business"), _("Claims"), _("Tare mg"), _("Content mg"), _("Printed count"), _("Applied count"),
    _("Spoiled count"), _("Left count"), _("Marks taken count"), _("Marks applied count"), _("Marks spoiled count"),
    _("Marks left count"), _("Print count"), _("Cause"), _("How"), _("Used count"), _("Room rh frac"), _("Gas"), _("Oxygen frac"),
)


def field_word(name: str) -> str:
    """Return the name of a field for a sentence."""
    return gettext(name.replace("_", " ").capitalize())
