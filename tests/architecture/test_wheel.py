"""The wheel stands alone: built, installed in an empty environment, used from an empty folder."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import threading
import urllib.request
import venv
import zipfile
from pathlib import Path

import pytest

from tests.architecture.checkout import ROOT

pytestmark = [pytest.mark.slow, pytest.mark.timeout(1200)]

READY_SECONDS = 120
PROGRESSION = "D: I V6 | ii65 V7 | I"


def run(
    *words: str | Path, cwd: Path, home: Path | None = None
) -> subprocess.CompletedProcess[str]:
    done = subprocess.run(
        [str(word) for word in words],
        cwd=cwd,
        env=clean_environment(home),
        check=False,
        capture_output=True,
        text=True,
        timeout=900,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done


def clean_environment(home: Path | None) -> dict[str, str]:
    """Give an environment that leads neither to the checkout nor, with a home, to our settings."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PYTHON", "VIRTUAL_ENV", "JUPYTER", "IPYTHON", "COV", "PYTEST"))
    }
    return kept if home is None else {**kept, "HOME": str(home)}


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from a copy of the checkout."""
    source = tmp_path_factory.mktemp("source") / "checkout"
    ignored = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache")
    shutil.copytree(ROOT, source, ignore=ignored)
    shutil.rmtree(source / "sketchbook", ignore_errors=True)  # a composer's, not the package
    out = tmp_path_factory.mktemp("wheel")
    run(
        sys.executable, "-m", "pip", "wheel", "--no-deps", "--only-binary", ":all:",
        "--wheel-dir", out, source, cwd=out,
    )  # fmt: skip
    (built,) = out.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The programs' folder of an environment that holds the wheel and what it needs."""
    home = tmp_path_factory.mktemp("empty")
    venv.create(home / "env", with_pip=True)
    programs = home / "env" / "bin"
    run(
        programs / "python", "-m", "pip", "install", "--quiet", "--only-binary", ":all:",
        "--constraint", ROOT / "constraints.txt", wheel, cwd=home,
    )  # fmt: skip
    return programs


def test_the_wheel_carries_tables_desks_and_demo(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder, inside in (
        ("harmony/data", "harmony/data"),
        ("notebooks", "harmony/_shipped/notebooks"),
        ("corpora", "harmony/_shipped/corpora"),
    ):
        expected = {
            f"{inside}/{path.relative_to(ROOT / folder).as_posix()}"
            for path in (ROOT / folder).rglob("*")
            if path.is_file() and "__pycache__" not in path.parts
        }
        assert expected
        assert expected <= names
    assert "harmony/py.typed" in names
    assert not [name for name in names if name.startswith(("tests/", "notebooks/"))]


def test_voice_runs_from_the_wheel(installed: Path, tmp_path: Path) -> None:
    words = (installed / "harmony", "voice", PROGRESSION, "--for", "SATB choir")
    done = run(*words, "--json", "-o", "hymn.musicxml", cwd=tmp_path, home=tmp_path)
    answer = json.loads(done.stdout)
    assert answer["voices"] == ["Soprano", "Alto", "Tenor", "Bass"]
    assert len(answer["alternatives"][0]["slots"]) == 5
    assert b"<score-partwise" in (tmp_path / "hymn.musicxml").read_bytes()


def test_the_wheel_s_tables_are_found_in_the_environment(installed: Path, tmp_path: Path) -> None:
    asked = (
        "from harmony.resources import *\n"
        "print(find_data('sources.bib'), find_desks(), find_corpora(), sep='\\n')"
    )
    done = run(installed / "python", "-c", asked, cwd=tmp_path)
    for line in done.stdout.splitlines():
        assert Path(line).is_relative_to(installed.parent)


def assert_copied(folder: Path) -> list[Path]:
    """Check that every shipped desk is there, and give their paths."""
    desks = sorted(folder.glob("*.ipynb"))
    shipped = sorted(path.name for path in (ROOT / "notebooks").glob("*.ipynb"))
    assert [desk.name for desk in desks] == shipped != []
    return desks


def assert_worked(desk: Path) -> None:
    """Check that a desk's cells were run, showed something, and met no error."""
    cells = json.loads(desk.read_text(encoding="utf-8"))["cells"]
    code = [cell for cell in cells if cell["cell_type"] == "code"]
    outputs = [output for cell in code for output in cell["outputs"]]
    assert all(cell["execution_count"] for cell in code)
    assert bool(outputs) is bool(code)
    assert not [output for output in outputs if output["output_type"] == "error"]


def test_the_workbench_opens_from_the_wheel(installed: Path, tmp_path: Path) -> None:
    process = subprocess.Popen(
        [installed / "harmony", "workbench", "sketchbook", "--no-browser"],
        cwd=tmp_path,
        env=clean_environment(tmp_path),
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        start_new_session=True,
    )
    watch = threading.Timer(READY_SECONDS, os.killpg, (process.pid, signal.SIGKILL))
    watch.start()
    try:
        assert process.stdout is not None
        lines: list[str] = []
        address = None
        for line in process.stdout:
            lines.append(line)
            if address := re.search(r"http://\S+", line):
                break
        assert address, "".join(lines)
        with urllib.request.urlopen(address.group(), timeout=30) as page:
            assert page.status == 200
        for desk in assert_copied(tmp_path / "sketchbook" / "desks"):
            assert_worked(desk)
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=60) == 0
    finally:
        watch.cancel()
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()
        process.stdout.close()
