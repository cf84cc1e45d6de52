"""`manage.py catalogue`: what a person at a console sees."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from diagnostics.measurements.registry import KINDS
from diagnostics.models import CatalogueVersion
from shop.models import Platform
from tests.diagnostics.catalogue_shelf import SOUND


def run(*arguments: str) -> tuple[str, str]:
    out, err = StringIO(), StringIO()
    call_command("catalogue", *arguments, stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


def test_checking_sound_pages_says_what_is_in_them(tmp_path: Path) -> None:
    (tmp_path / "tt1.yaml").write_text(SOUND, encoding="utf-8")
    out, err = run("check", str(tmp_path))
    assert out.startswith("TT1: sound (1 components, 2 parts, 1 flags")
    assert err == ""


def test_problems_are_printed_as_file_line_wrong_and_right(tmp_path: Path) -> None:
    file = tmp_path / "tt1.yaml"
    file.write_text(SOUND.replace("hours: 1.2", "hours: 1.25"), encoding="utf-8")
    out, err = StringIO(), StringIO()
    with pytest.raises(CommandError, match=r"1 thing to put right; nothing loaded\."):
        call_command("catalogue", "check", str(tmp_path), stdout=out, stderr=err)
    line = SOUND[: SOUND.index("hours: 1.2")].count("\n") + 1
    assert err.getvalue().strip() == (
        f"{file.as_posix()}:{line}: 1.25 hours is not a whole number of tenths "
        "(labour, BC-1, hours); write 1.2 or 1.3"
    )


def test_a_path_that_is_not_there_says_so() -> None:
    err = StringIO()
    with pytest.raises(CommandError):
        call_command("catalogue", "check", "no-such-folder", stdout=StringIO(), stderr=err)
    assert "no-such-folder: there is no such file or folder" in err.getvalue()


def test_a_folder_without_pages_says_so(tmp_path: Path) -> None:
    err = StringIO()
    with pytest.raises(CommandError):
        call_command("catalogue", "check", str(tmp_path), stdout=StringIO(), stderr=err)
    assert "no .yaml file is in this folder" in err.getvalue()


@pytest.mark.usefixtures("no_catalogue")
def test_checking_writes_nothing(tmp_path: Path) -> None:
    (tmp_path / "tt1.yaml").write_text(SOUND, encoding="utf-8")
    run("check", str(tmp_path))
    assert not Platform.objects.exists()


@pytest.mark.usefixtures("no_catalogue")
def test_loading_twice_says_that_nothing_changed(tmp_path: Path) -> None:
    (tmp_path / "tt1.yaml").write_text(SOUND, encoding="utf-8")
    assert run("load", str(tmp_path))[0] == "TT1: version 1 loaded\n"
    assert run("load", str(tmp_path))[0] == "TT1: version 1, as it was\n"
    assert CatalogueVersion.objects.count() == 1


@pytest.mark.usefixtures("no_catalogue")
def test_one_bad_file_among_good_ones_loads_nothing(tmp_path: Path) -> None:
    (tmp_path / "tt1.yaml").write_text(SOUND, encoding="utf-8")
    (tmp_path / "tt2.yaml").write_text("format: 1\nplatfrom: {}\n", encoding="utf-8")
    err = StringIO()
    with pytest.raises(CommandError):
        call_command("catalogue", "load", str(tmp_path), stdout=StringIO(), stderr=err)
    assert "did you mean platform?" in err.getvalue()
    assert not Platform.objects.exists()


def test_it_lists_what_a_file_may_name() -> None:
    out, _err = run("names")
    assert "  teeth: Teeth on the sensor's ring (count)" in out
    assert "  sensor_kind: Kind of wheel-speed sensor (passive or current or voltage)" in out
    assert "  road_speed: Road speed (speed)" in out
    for kind in KINDS.values():
        assert f"  {kind.key}: {kind.name}" in out
        assert all(f"    gives {quantity.key}:" in out for quantity in kind.quantities)
