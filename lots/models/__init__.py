"""Floor 4: tables and constraints, one file for each family; no rules of the trade.

`BOOK` lists the append-only tables in an order in which rows can be inserted; `DERIVED` those that a command rebuilds.
"""

from lots.models.bags import HarvestBag
from lots.models.check_rows import CheckWeight, ClimateBand, ClimateRow, Stone, TestPiece
from lots.models.checks import ClimateReading, GritCheck, MetalFind, PieceTest, ScaleCheck, ScaleClear
from lots.models.equipment import Equipment, MoistureRule, Product, Scale, Screen, StageExpectation, StonePair
from lots.models.field import FieldTreatment, FieldTrim, HarvestFlush, NeighbourNotice, Shading
from lots.models.finishing import CheckWeighing, LabelCount, LabelReprint, SampleDisposal, SamplePlace, SampleRound
from lots.models.goods import GoodsReceipt, GoodsRefused, HireMove, OpeningStock, PackagingLot
from lots.models.goods_rows import Certificate, PackagingItem
from lots.models.holds import Hold
from lots.models.house import Blending, BlendPlan, Combining, Removal, ShelfCount, Shelving
from lots.models.house_rows import BlendPart, Place, ShelfMissed
from lots.models.labels import CheckedPack, LabelVersion, PackagingUsed, SampleSeen
from lots.models.limits import DecisionGround, Limit, ReleaseRule
from lots.models.office import (
    AccountEnd,
    Authorisation,
    AuthorityContact,
    LotRule,
    PartyContact,
    RecallTeam,
    RetentionRule,
)
from lots.models.packs import PackedUnit, PackMove
from lots.models.registers import Cultivar, FieldPlot, House, Party, Planting, PlotNeighbour, Register, Staff
from lots.models.release import Complaint, LabResult, LotDecision, SampleTaken, SensoryNote
from lots.models.sale import CaseOpening, OrderCancel, PackReturn, ReturnFate, SalesCase, SalesOrder
from lots.models.sale_rows import CasePart, ConsignedCase, Erasure, OrderLine, SalesUnit
from lots.models.spine import Flow, JournalEntry, Lot, LotEntry, Step
from lots.models.stages import (
    CleanDown,
    Consignment,
    Detail,
    DriedLeafLot,
    LeafDrying,
    MillingClose,
    MillingRun,
    MillingTub,
    PackingRun,
    Refining,
    SievePass,
    StockCount,
)
from lots.models.working import (
    ActKey,
    Composition,
    Edge,
    HoldReach,
    JournalHead,
    Opening,
    Origin,
    PackFace,
    PackSecret,
    PrivateValue,
    Stock,
)

REGISTERS = (
    House, Party, Staff, Cultivar, FieldPlot, Planting, PlotNeighbour, Equipment, StonePair, Screen, Scale, Product, LabelVersion,
    StageExpectation,
    MoistureRule, PartyContact, LotRule, RetentionRule, Authorisation, RecallTeam, AuthorityContact, SalesUnit, Place,
    Limit, ReleaseRule, Certificate, PackagingItem, TestPiece, CheckWeight, ClimateBand, Stone,
)
#: The thin tables in the order in which they stand in their file: a stage that is added needs no line here.
DETAILS: tuple[type[Detail], ...] = tuple(Detail.__subclasses__())
#: Rows that an act writes and its journal entry carries, in order of insertion.
WRITTEN = (
    *REGISTERS, Step, Lot, Flow, *DETAILS, HarvestBag, DriedLeafLot, PackedUnit, PackMove, CasePart, OrderLine, ConsignedCase, Erasure,
    CheckedPack, PackagingUsed, SampleSeen, ShelfMissed, BlendPart, DecisionGround, ClimateRow, Hold,
)
#: Every append-only table.
BOOK = (JournalEntry, *WRITTEN, LotEntry)
DERIVED = (Stock, Edge, Origin, Composition, HoldReach, PackFace)

__all__ = [
    "BOOK",
    "DERIVED",
    "DETAILS",
    "REGISTERS",
    "WRITTEN",
    "AccountEnd",
    "ActKey",
    "Authorisation",
    "AuthorityContact",
    "BlendPart",
    "BlendPlan",
    "Blending",
    "CaseOpening",
    "CasePart",
    "Certificate",
    "CheckWeighing",
    "CheckWeight",
    "CheckedPack",
    "CleanDown",
    "ClimateBand",
    "ClimateReading",
    "ClimateRow",
    "Combining",
    "Complaint",
    "Composition",
    "ConsignedCase",
    "Consignment",
    "Cultivar",
    "DecisionGround",
    "Detail",
    "DriedLeafLot",
    "Edge",
    "Equipment",
    "Erasure",
    "FieldPlot",
    "FieldTreatment",
    "FieldTrim",
    "Flow",
    "GoodsReceipt",
    "GoodsRefused",
    "GritCheck",
    "HarvestBag",
    "HarvestFlush",
    "HireMove",
    "Hold",
    "HoldReach",
    "House",
    "JournalEntry",
    "JournalHead",
    "LabResult",
    "LabelCount",
    "LabelReprint",
    "LabelVersion",
    "LeafDrying",
    "Limit",
    "Lot",
    "LotDecision",
    "LotEntry",
    "LotRule",
    "MetalFind",
    "MillingClose",
    "MillingRun",
    "MillingTub",
    "MoistureRule",
    "NeighbourNotice",
    "Opening",
    "OpeningStock",
    "OrderCancel",
    "OrderLine",
    "Origin",
    "PackFace",
    "PackMove",
    "PackReturn",
    "PackSecret",
    "PackagingItem",
    "PackagingLot",
    "PackagingUsed",
    "PackedUnit",
    "PackingRun",
    "Party",
    "PartyContact",
    "PieceTest",
    "Place",
    "Planting",
    "PlotNeighbour",
    "PrivateValue",
    "Product",
    "RecallTeam",
    "Refining",
    "Register",
    "ReleaseRule",
    "Removal",
    "RetentionRule",
    "ReturnFate",
    "SalesCase",
    "SalesOrder",
    "SalesUnit",
    "SampleDisposal",
    "SamplePlace",
    "SampleRound",
    "SampleSeen",
    "SampleTaken",
    "Scale",
    "ScaleCheck",
    "ScaleClear",
    "Screen",
    "SensoryNote",
    "Shading",
    "ShelfCount",
    "ShelfMissed",
    "Shelving",
    "SievePass",
    "Staff",
    "StageExpectation",
    "Step",
    "Stock",
    "StockCount",
    "Stone",
    "StonePair",
    "TestPiece",
]
