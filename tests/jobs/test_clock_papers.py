"""The repair order lists the clock for whoever else pays, with both values of a correction."""

from __future__ import annotations

from datetime import timedelta
from io import BytesIO
from uuid import uuid4

from pypdf import PdfReader

from jobs.models import Payer
from jobs.queries.clock_papers import clocked_papers
from jobs.services import corrections
from shop import clock
from tests.cast import client_of
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew
from tests.jobs.clocking import off, on


def test_only_for_payers_other_than_the_customer(crew: Crew) -> None:
    lines = [a_complaint_line(payer=Payer.VEHICLE_WARRANTY), a_complaint_line(words="It pulls")]
    order = a_repair_order(crew.manager, technician=crew.technician, complaints=lines)
    first, second = order.complaints.order_by("line")
    begun = clock.now() - timedelta(hours=4)
    on(crew.technician, first, begun)
    on(crew.technician, second, begun + timedelta(hours=1))
    off(crew.technician, second, begun + timedelta(hours=2))
    entry = clocked_papers(order)[0].lines[0].entry
    corrections.correct(
        crew.manager,
        act=uuid4(),
        entry=entry,
        seen=0,
        counted_from=entry.counted_from,
        counted_to=entry.counted_from + timedelta(minutes=50),
        because="Lunch",
    )
    found = clocked_papers(order)
    assert [(one.complaint.line, one.worked) for one in found] == [(1, timedelta(minutes=50))]
    url = f"/{order.workshop.slug}/orders/{order.number}/repair-order.pdf"
    answer = client_of(crew.manager).get(url)
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)
    assert "Time on the clock" in text
    assert "corrected; the clock said" in text
    assert "Worked, paid by vehicle warranty" in text.replace("\n", " ")
