"""The two commands and what they build from: pinned, hashed, naming no server and no machine."""

from __future__ import annotations

import re
import shutil
import stat
import subprocess
from pathlib import Path

import pytest
from django.conf import settings

ROOT = Path(settings.BASE_DIR)
LOCKS = ("requirements.lock", "requirements-test.lock")
COMMANDS = ("script/server", "script/test", "script/lock", ".ci/run")
PIN = re.compile(r"(?P<name>[a-z0-9-]+)==(?P<version>[^ ;]+)(?: ; (?P<where>[^\\]+?))? \\")
HASH = re.compile(r"    --hash=sha256:[0-9a-f]{64}( \\)?")


def pins(lock: str) -> dict[str, str]:
    lines = (ROOT / lock).read_text(encoding="utf-8").splitlines()
    found = [PIN.fullmatch(line) for line in lines]
    return {pin["name"]: pin["version"] for pin in found if pin}


def wanted(file: str) -> set[str]:
    """The names in a requirements file, spelled as locks spell them."""
    lines = (ROOT / file).read_text(encoding="utf-8").splitlines()
    names = (re.match(r"[A-Za-z0-9_.-]+", line) for line in lines if not line.startswith("-r"))
    return {name[0].lower().replace("_", "-") for name in names if name}


def run(*command: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command, cwd=cwd, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=60
    )


@pytest.mark.parametrize("lock", LOCKS)
def test_a_lock_holds_pins_and_hashes_and_nothing_else(lock: str) -> None:
    lines = (ROOT / lock).read_text(encoding="utf-8").splitlines()
    assert len(pins(lock)) > 10
    for line, following in zip(lines, [*lines[1:], ""], strict=True):
        if PIN.fullmatch(line):
            assert HASH.fullmatch(following), f"{line} has no hash"
        else:
            assert HASH.fullmatch(line), f"{lock} holds what is neither pin nor hash: {line}"


def test_what_is_wanted_is_locked_and_checked_at_the_versions_that_run() -> None:
    runs, checks = pins("requirements.lock"), pins("requirements-test.lock")
    assert wanted("requirements.in") <= runs.keys()
    assert wanted("requirements-test.in") <= checks.keys()
    assert runs.items() <= checks.items()


def test_no_tracked_file_names_the_folder_it_was_written_in() -> None:
    if shutil.which("git") is None or not (ROOT / ".git").exists():
        pytest.skip("this copy is no git work tree")
    tracked = run("git", "ls-files", "-z", cwd=ROOT).stdout.split("\0")
    texts = [ROOT / name for name in tracked if name and (ROOT / name).is_file()]
    guilty = [path for path in texts if f"{ROOT}/".encode() in path.read_bytes()]
    assert guilty == []


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_can_be_run_and_reads_as_bash(command: str) -> None:
    path = ROOT / command
    assert path.stat().st_mode & stat.S_IXUSR
    assert path.read_text(encoding="utf-8").startswith("#!/usr/bin/env bash\n")
    assert run("bash", "-n", str(path), cwd=ROOT).stderr == ""


@pytest.mark.parametrize("command", ["script/server", "script/test"])
def test_a_command_explains_itself_from_any_folder(command: str, tmp_path: Path) -> None:
    elsewhere = tmp_path / "link"
    elsewhere.symlink_to(ROOT / command)
    for way in (str(ROOT / command), str(elsewhere)):
        told = run(way, "--help", cwd=tmp_path)
        assert told.returncode == 0
        assert told.stdout.startswith(f"Usage: {command}")


def test_an_option_that_script_test_does_not_know_is_said(tmp_path: Path) -> None:
    told = run(str(ROOT / "script/test"), "--quick", cwd=tmp_path)
    assert told.returncode == 1
    assert told.stderr.splitlines() == [
        "script/test does not know --quick; script/test --help tells what it takes."
    ]


def bash(lines: str, **functions: str) -> subprocess.CompletedProcess[str]:
    """Lines of bash with script/lib/setup.sh read in, and some of its functions replaced."""
    given = "\n".join(f"{name}() {{ {body}; }}" for name, body in functions.items())
    return run("bash", "-c", f". {ROOT}/script/lib/setup.sh\n{given}\n{lines}", cwd=ROOT)


def test_a_python_that_is_too_old_is_said(tmp_path: Path) -> None:
    old = tmp_path / "python3"
    old.write_text('#!/bin/sh\n[ "$1" = -V ] && echo Python 3.9.2 || exit 1\n', encoding="utf-8")
    old.chmod(0o755)
    told = bash("ensure_python", command=f'[[ $2 == python3 ]] && echo "{old}"')
    assert told.returncode == 1
    assert told.stderr == f"Python 3.11 or newer is needed; {old} is 3.9.2.\n"


def test_a_missing_package_is_named_when_nobody_may_install_it() -> None:
    lacking = "ensure_packages no-such-package=no-such-command"
    told = bash(lacking, may_install="return 1")
    assert told.returncode == 1
    assert told.stderr == (
        "This machine lacks packages; ask its administrator to run: "
        "apt-get install -y no-such-package\n"
    )


def test_a_package_that_is_here_is_not_asked_for() -> None:
    told = bash("ensure_packages bash=bash && say fine", install_packages="stop installed")
    assert told.stdout == "fine\n"


def test_what_is_tried_on_one_database_alone_asks_none() -> None:
    """script/test leaves these folders out on PostgreSQL: nothing in them may need a database."""
    script = (ROOT / "script/test").read_text(encoding="utf-8")
    folders = re.findall(r"--ignore (tests/diagnostics/\w+)", script)
    assert len(folders) == 4
    asks = re.compile(r"\b(django_db|transactional_db|db: None|actor|Actor|\.models|\.services)\b")
    found = [
        str(path.relative_to(ROOT))
        for folder in folders
        for path in (ROOT / folder).rglob("*.py")
        if any(
            asks.search(line) and "udsoncan" not in line
            for line in path.read_text(encoding="utf-8").splitlines()
        )
    ]
    assert not found
