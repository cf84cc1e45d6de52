"""A claim document made up for tests of what writes and reads it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

from jobs.claims import document as d

AT = datetime(2026, 11, 24, 14, 30, tzinfo=UTC)


def a_document() -> d.ClaimDocument:
    """Every part once, with letters outside ASCII and a text that looks like a formula."""
    lines = (
        d.Line(1, "labour", "R210 Hub, left rear", "", Decimal("1.40"), Decimal("95.00"),
               Decimal("133.00")),
        d.Line(2, "part", "=cmd|' /C calc'!A0", "OS-1", Decimal(1), Decimal("210.10"),
               Decimal("210.10")),
        d.Line(3, "handling", "Handling", "", Decimal(1), Decimal("21.01"), Decimal("21.01")),
    )  # fmt: skip
    odometer = d.Odometer(48_210_000, "48210", "km", AT)
    return d.ClaimDocument(
        schema=d.SCHEMA,
        version=d.VERSION,
        claim=d.Identity("QC1001", 1, False, AT, "Bela", "portal", "Bela", AT, "", "$"),
        workshop=d.Shop("Fennick Chassis Works", "1 Quay Street\nMillrace", "01", "F-77"),
        payer=d.Asked("Corvane", "vehicle_warranty", ""),
        vehicle=d.Car(
            "1HGBH41JXMN109186", "ÄB 12", "Corvane", "DR3", 2024, date(2024, 2, 29), odometer, None
        ),
        order=d.Job("Q1001", 1, AT, AT, None, "Ines"),
        concern="“It pulls”",
        cause="Ω out of limit",
        correction="Replaced",
        fault=d.Fault("hub-and-sensor assembly", "left rear", "open circuit", False, ("A",)),
        coverage=d.Coverage(
            "covered", "It runs.", "New vehicle", "book", date(2024, 2, 29), date(2027, 2, 28),
            96, 51_790_000, Decimal(100), Decimal(0), "", "Bela", AT, ("Nobody knows.",),
        ),
        flags=(
            d.FlagsRead("as_found", "brake control",
                        (d.FlagHeld("C0045", "13", "present now", True, "left rear"),), "Ines", AT),
        ),
        readings=(
            d.Value("Coil resistance", "hub", "left rear", "as_found", True, 41_200.0, "41.2",
                    "kohm", 20.0, "at 12 °C", 1280.0, 1500.0, "1.28 – 1.50 kΩ", "at 20 °C",
                    "manual", "outside", "Ines", AT),
        ),
        road_tests=(d.Drive(12_000.0, "12 km", 25.0, "90 km/h", True, "Long enough.", "Ines", AT),),
        operations=(d.Operation("R210", "Hub, left rear", Decimal("1.4"), Decimal("1.4")),),
        clocked=(d.Clocked("Ines", AT, AT, 80),),
        parts=(
            d.PartFitted("hub", "left rear", "OS-1", "new", "A1", "B2", AT, "QT1001", "held",
                         date(2027, 1, 1)),
        ),
        lines=lines,
        totals=d.totals_of(lines),
        photos=(d.Picture("Photo 1", "the fault as found", "", 800, 600, "ab" * 32, "Ines", AT),),
        authority=(d.Authorised("Q1001/1", "A. Customer", "by telephone", "authorised", AT),),
        lacking=("No photo of the odometer.",),
        answers=(d.Answered(1, date(2026, 11, 25), "refused", "reading", "No.", "X", None),),
    )  # fmt: skip
