from jobs.models.authority import Authority, AuthorityLine, Estimate, EstimateLine, How
from jobs.models.complaint import Complaint, Payer
from jobs.models.labour import LabourLine
from jobs.models.order import NumberSeries, RepairOrder, StageMove, UnsafeMark
from jobs.models.part import Replacement
from jobs.models.proof import RoadTest
from jobs.models.unit import FittedUnit

__all__ = [
    "Authority",
    "AuthorityLine",
    "Complaint",
    "Estimate",
    "EstimateLine",
    "FittedUnit",
    "How",
    "LabourLine",
    "NumberSeries",
    "Payer",
    "RepairOrder",
    "Replacement",
    "RoadTest",
    "StageMove",
    "UnsafeMark",
]
