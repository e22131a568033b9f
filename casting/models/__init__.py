"""The models of casting: the shelf, casting days with their waxes and flasks, plans and prints."""

from casting.models.account import Account, AccountEntry, Lot, PriceList, SchoolLeaving, Transfer
from casting.models.board import BoardStep
from casting.models.changes import BenchChange, DayChange, SafetyChange
from casting.models.day import CastingDay, Flask, Wax, WaxChange, WaxHold, WaxPhoto
from casting.models.defect import DefectPhoto, PieceDefect
from casting.models.equipment import Firing, FlaskSize, HouseRules, Kiln
from casting.models.materials import Alloy, Investment, PatternMaterial
from casting.models.mishap import FlaskMishap, Recast
from casting.models.paper import PaperPrinted
from casting.models.plan import BasePhoto, KilnReading, Plan, StepRecord
from casting.models.rubber import RubberBase
from casting.models.safety import CautionCleared, SafetyRecord
from casting.models.search import Search

__all__ = [
    "Account",
    "AccountEntry",
    "Alloy",
    "BasePhoto",
    "BenchChange",
    "BoardStep",
    "CastingDay",
    "CautionCleared",
    "DayChange",
    "DefectPhoto",
    "Firing",
    "Flask",
    "FlaskMishap",
    "FlaskSize",
    "HouseRules",
    "Investment",
    "Kiln",
    "KilnReading",
    "Lot",
    "PaperPrinted",
    "PatternMaterial",
    "PieceDefect",
    "Plan",
    "PriceList",
    "Recast",
    "RubberBase",
    "SafetyChange",
    "SafetyRecord",
    "SchoolLeaving",
    "Search",
    "StepRecord",
    "Transfer",
    "Wax",
    "WaxChange",
    "WaxHold",
    "WaxPhoto",
]
