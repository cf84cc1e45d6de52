from jobs.models.authority import (
    Authority,
    AuthorityLine,
    Estimate,
    EstimateLine,
    EstimateTax,
    How,
)
from jobs.models.claim import (
    Claim,
    ClaimAnswer,
    ClaimLine,
    ClaimPayer,
    Submission,
    SubmissionPaper,
)
from jobs.models.claim_money import ClaimPayment, PaymentFile, PaymentRow
from jobs.models.comeback import CauseClass, Comeback, Repair
from jobs.models.complaint import Complaint, Payer
from jobs.models.coverage import (
    Campaign,
    CoverageDecision,
    CoverageJudgement,
    Objection,
    ServiceContract,
)
from jobs.models.held import HeldPart
from jobs.models.hours import Absence, ClockCorrection, ClockEntry, WorkingHours
from jobs.models.invoice import Invoice, InvoiceLine, InvoiceTax, Payment
from jobs.models.labour import LabourLine
from jobs.models.order import NumberSeries, RepairOrder, StageMove, UnsafeMark
from jobs.models.other_line import OtherLine
from jobs.models.part import Replacement
from jobs.models.photo import Photo, PhotoContents
from jobs.models.proof import RoadTest
from jobs.models.report import MonthlyReport, MonthlyReportPaper, ReportMaking
from jobs.models.stock import StockItem, StockMovement
from jobs.models.supply import Supplier, SupplyLine, SupplyOrder, SupplyReceipt, SupplyReturn
from jobs.models.terms import LabourRate, MarkupBand, Tax, Terms
from jobs.models.unit import FittedUnit

__all__ = [
    "Absence",
    "Authority",
    "AuthorityLine",
    "Campaign",
    "CauseClass",
    "Claim",
    "ClaimAnswer",
    "ClaimLine",
    "ClaimPayer",
    "ClaimPayment",
    "ClockCorrection",
    "ClockEntry",
    "Comeback",
    "Complaint",
    "CoverageDecision",
    "CoverageJudgement",
    "Estimate",
    "EstimateLine",
    "EstimateTax",
    "FittedUnit",
    "HeldPart",
    "How",
    "Invoice",
    "InvoiceLine",
    "InvoiceTax",
    "LabourLine",
    "LabourRate",
    "MarkupBand",
    "MonthlyReport",
    "MonthlyReportPaper",
    "NumberSeries",
    "Objection",
    "OtherLine",
    "Payer",
    "Payment",
    "PaymentFile",
    "PaymentRow",
    "Photo",
    "PhotoContents",
    "Repair",
    "RepairOrder",
    "Replacement",
    "ReportMaking",
    "RoadTest",
    "ServiceContract",
    "StageMove",
    "StockItem",
    "StockMovement",
    "Submission",
    "SubmissionPaper",
    "Supplier",
    "SupplyLine",
    "SupplyOrder",
    "SupplyReceipt",
    "SupplyReturn",
    "Tax",
    "Terms",
    "UnsafeMark",
    "WorkingHours",
]
