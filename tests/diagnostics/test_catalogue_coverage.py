"""Terms of coverage in the pages: said wrongly, and loaded rightly."""

from __future__ import annotations

from decimal import Decimal

import pytest

from diagnostics.models import CatalogueVersion, CoverageTerm
from diagnostics.services.catalogue import load_all
from tests.diagnostics.catalogue_shelf import SOUND, line_of, read

TERMS = """\
coverage:
  basic:
    name: Basic warranty
    of: vehicle
    months: 36
    distance: 60000 mi
    systems: [brake_control]
    left_out: [hub]
    bears: 80
    first_year: 2015
    last_year: 2024
    source: booklet, page 4
  rust:
    name: Against rust
    of: vehicle
    months: 72
    components: [hub]
    failure_modes: [open]
    source: booklet, page 6
  units:
    name: Fitted units
    of: unit
    unlimited: yes
    supplier: Northgate
    source: their terms
"""
PROMISED = SOUND.replace("proving:\n", f"{TERMS}proving:\n")


def test_a_sound_file_with_terms_is_sound() -> None:
    assert [str(problem) for problem in read(tt1=PROMISED).problems] == []


@pytest.mark.parametrize(
    ("old", "new", "at", "wrong", "right"),
    [
        ("months: 36", "months: 0", "months: 0", "'0' is too small", "the least is 1"),
        ("months: 36", "months: three", "three", "not a whole number", "digits"),
        ("60000 mi", "60000 kg", "60000 kg", "kg is a unit of mass, not of length", "km"),
        ("60000 mi", "0 mi", "distance: 0 mi", "0 mi is no distance", "60000 km"),
        ("60000 mi", "far", "distance: far", "no amount", "number and its unit"),
        ("    months: 72\n", "", "rust:", "the term has no limit", "`unlimited: yes`"),
        (
            "    months: 72\n",
            "    months: 72\n    unlimited: yes\n",
            "months: 72\n    unlimited: yes",
            "a limit is written too",
            "leave `unlimited` out",
        ),
        ("[brake_control]", "[brake_contrl]", "contrl", "no system brake_contrl", "brake_control?"),
        ("left_out: [hub]", "left_out: [hb]", "[hb]", "there is no component hb", "hub"),
        ("[open]", "[opens]", "[opens]", "none of the components fails by opens", "open"),
        (
            "    components: [hub]\n",
            "",
            "failure_modes: [open]",
            "nothing says which component",
            "`components:`",
        ),
        ("bears: 80", "bears: 0", "bears: 0", "'0' is too small", "the least is 0.01"),
        ("bears: 80", "bears: 101", "bears: 101", "'101' is too large", "the most is 100"),
        ("last_year: 2024", "last_year: 2014", "2014", "the last year is before", "exchange"),
        (
            "of: unit\n",
            "of: vehicle\n",
            "supplier: Northgate",
            "a vehicle has no supplier",
            "`of: unit`",
        ),
        ("of: unit\n", "of: wheel\n", "of: wheel", "'wheel' is not one of the choices", "vehicle"),
        ("    source: their terms\n", "", "units:", "source is missing", "write `source:`"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(
    old: str, new: str, at: str, wrong: str, right: str
) -> None:
    assert PROMISED.count(old) == 1, old
    text = PROMISED.replace(old, new)
    pages = read(tt1=text)
    assert pages.books == []
    said = [problem for problem in pages.problems if wrong in problem.wrong]
    assert said, [str(problem) for problem in pages.problems]
    first = line_of(text, at.split("\n")[0]) + at.count("\n")
    assert said[0].line == first, str(said[0])
    assert right in said[0].right, str(said[0])


@pytest.mark.usefixtures("no_catalogue")
class TestLoaded:
    @staticmethod
    def load(text: str = PROMISED) -> CatalogueVersion:
        pages = read(tt1=text)
        assert pages.sound, [str(problem) for problem in pages.problems]
        [done] = load_all(pages.books)
        return CatalogueVersion.objects.get(platform__code=done.code, number=done.number)

    def test_months_metres_and_what_it_speaks_of_are_kept(self) -> None:
        """60,000 miles of 1609.344 m (NIST SP 811) are 96,560,640 m."""
        version = self.load()
        basic = CoverageTerm.objects.get(version=version, key="basic")
        assert (basic.kind, basic.months, basic.distance_m) == ("vehicle_warranty", 36, 96_560_640)
        assert (basic.percent, basic.first_year, basic.last_year) == (Decimal(80), 2015, 2024)
        assert [one.key for one in basic.systems.all()] == ["brake_control"]
        assert [one.key for one in basic.left_out.all()] == ["hub"]
        assert not basic.components.exists()
        assert basic.source == "booklet, page 4"

    def test_a_term_of_one_failure_keeps_which(self) -> None:
        self.load()
        rust = CoverageTerm.objects.get(key="rust")
        assert [one.key for one in rust.components.all()] == ["hub"]
        assert [(one.component.key, one.key) for one in rust.failure_modes.all()] == [
            ("hub", "open")
        ]
        assert (rust.months, rust.distance_m, rust.percent) == (72, None, Decimal(100))

    def test_a_term_of_units_has_no_limit_when_it_says_so(self) -> None:
        self.load()
        units = CoverageTerm.objects.get(key="units")
        assert (units.kind, units.months, units.distance_m) == ("parts_warranty", None, None)
        assert units.supplier == "Northgate"

    def test_changed_terms_make_a_new_version_and_leave_the_old_ones(self) -> None:
        self.load()
        second = self.load(PROMISED.replace("months: 36", "months: 24"))
        assert second.number == 2
        rows = CoverageTerm.objects.filter(key="basic").order_by("version__number")
        assert [row.months for row in rows] == [36, 24]
