"""The estimate of a job, the door to what the others ask: its lines, its bill, what was said.

Rows with prices are in `priced`, what was given and answered in `said`, the sheet in
`estimate_sheet`, what can be put on it in `estimate_choices`.
"""

from __future__ import annotations

from jobs.queries.estimate_choices import Choice, assembly_choices, labour_choices, operations_for
from jobs.queries.estimate_sheet import (
    ComplaintSheet,
    EstimateSheet,
    Proposal,
    SheetLine,
    complaints_of,
    may_go_back,
    sheet,
)
from jobs.queries.priced import (
    Row,
    assembly_text,
    bill_of,
    bill_of_rows,
    labour_text,
    live_labour,
    live_other,
    live_replacements,
    live_rows,
    place_words,
    price_line,
    price_of,
    row_key,
    row_text,
)
from jobs.queries.said import (
    agreed_on,
    authorised_total,
    given_estimates,
    is_as_given,
    last_number,
    shared_rows,
    standing,
)

__all__ = [
    "Choice",
    "ComplaintSheet",
    "EstimateSheet",
    "Proposal",
    "Row",
    "SheetLine",
    "agreed_on",
    "assembly_choices",
    "assembly_text",
    "authorised_total",
    "bill_of",
    "bill_of_rows",
    "complaints_of",
    "given_estimates",
    "is_as_given",
    "labour_choices",
    "labour_text",
    "last_number",
    "live_labour",
    "live_other",
    "live_replacements",
    "live_rows",
    "may_go_back",
    "operations_for",
    "place_words",
    "price_line",
    "price_of",
    "row_key",
    "row_text",
    "shared_rows",
    "sheet",
    "standing",
]
