"""What `harmony workbench` leaves in the folder, runs, refuses to run, and takes away again."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from pathlib import Path

import nbformat
import psutil
import pytest
from nbformat import v4

from tests.browser.serving import Served, clean_environment, serve_workbench

pytestmark = [pytest.mark.browser, pytest.mark.timeout(300)]

PATIENCE_SECONDS = 120
#: Python files beside a desk, by the names of what its kernel imports.
BESIDE = ("harmony.py", "anywidget.py", "ipykernel_launcher.py", "ipython_kernel_config.py")
OPENING = ("-m", "harmony", "workbench", "--no-browser")
STRANGER = "from pathlib import Path\nPath('run-unasked').write_text('')"


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Served:
    """A workbench opened on a folder with a stranger's notebook, closed by Ctrl-C.

    In between a desk's kernel died, and the desk was run again over a new one.
    """
    place = tmp_path_factory.mktemp("launched")
    desks = place / "sketchbook" / "desks"
    desks.mkdir(parents=True)
    notebook = v4.new_notebook(cells=[v4.new_code_cell(STRANGER)])
    for path in (desks / "theme.ipynb", place / "sketchbook" / "other.ipynb"):
        path.write_text(nbformat.writes(notebook), encoding="utf-8")
    for name in BESIDE:
        (desks / name).write_text(STRANGER, encoding="utf-8")
    with serve_workbench(place, browser="") as served:
        served.answers = {
            "with": status_of(served.address.replace("/doc/tree/desks/progression.ipynb", "/api")),
            "without": status_of(served.address.partition("/doc")[0] + "/api/contents"),
        }
        served.second = run_python(*OPENING, str(served.folder), place=place, home=place / "home")
        path = served.folder / "desks" / "progression.ipynb"
        before = model_of(path)
        kill_kernel(served, path.name)
        wait_until(lambda: model_of(path) != before)
        served.children = psutil.Process(served.process.pid).children(recursive=True)
        served.process.send_signal(signal.SIGINT)
        served.rest = served.process.communicate(timeout=30)[0]
    return served


def run_python(*arguments: str, place: Path, home: Path) -> subprocess.CompletedProcess[str]:
    """Run Python to its end, with no settings but those in a home."""
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=place,
        env=clean_environment(home),
        capture_output=True,
        text=True,
        check=False,
    )


def model_of(path: Path) -> str:
    """Give the id of the desk that a notebook's output shows."""
    shown = [
        output["data"]["application/vnd.jupyter.widget-view+json"]["model_id"]
        for cell in nbformat.read(path, as_version=4).cells
        for output in cell.get("outputs", [])
    ]
    return shown[0]


def kill_kernel(served: Served, name: str) -> None:
    """End the kernel of a desk as a fault of the computer would."""
    base, _, rest = served.address.partition("/doc")
    with urllib.request.urlopen(f"{base}/api/sessions?{rest.partition('&')[2]}") as answer:
        sessions = json.load(answer)
    (kernel,) = [one["kernel"]["id"] for one in sessions if one["path"].endswith(name)]
    (process,) = [
        child
        for child in psutil.Process(served.process.pid).children(recursive=True)
        if kernel in " ".join(child.cmdline())
    ]
    process.kill()


def wait_until(is_so: Callable[[], bool]) -> None:
    late = time.monotonic() + PATIENCE_SECONDS
    while not is_so():
        assert time.monotonic() < late
        time.sleep(0.1)


def status_of(address: str) -> int:
    try:
        with urllib.request.urlopen(address) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as fault:
        return fault.code


def test_a_token_is_asked_for_on_the_loopback(opened: Served) -> None:
    assert opened.address.startswith("http://127.0.0.1:")
    assert opened.answers == {"with": 200, "without": 403}


def test_a_second_workbench_on_the_folder_leads_to_the_first(opened: Served) -> None:
    assert opened.second is not None
    assert (opened.second.returncode, opened.second.stderr) == (0, "")
    said = f"The workbench is open on this folder already: {opened.address}\n"
    assert opened.second.stdout == said


def test_the_desk_is_worked_and_trusted(opened: Served) -> None:
    path = opened.folder / "desks" / "progression.ipynb"
    outputs = [
        kind
        for cell in nbformat.read(path, as_version=4).cells
        for output in cell.get("outputs", [])
        for kind in output.get("data", {})
    ]
    assert "application/vnd.jupyter.widget-view+json" in outputs
    ask = (
        "import sys, nbformat; from nbformat.sign import NotebookNotary as N;"
        "print(N().check_signature(nbformat.read(sys.argv[1], as_version=4)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", ask, str(path)],
        env=clean_environment(opened.folder.parent / "home"),
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "True"


def test_a_stranger_s_notebook_or_file_is_not_run(opened: Served) -> None:
    assert list(opened.folder.rglob("run-unasked")) == []
    kept = json.loads((opened.folder / "desks" / "theme.ipynb").read_text("utf-8"))
    assert kept["cells"][0]["outputs"] == []
    assert "".join(kept["cells"][0]["source"]) == STRANGER


def test_ctrl_c_closes_everything(opened: Served) -> None:
    assert opened.process.returncode == 0
    assert opened.children
    _, left = psutil.wait_procs(opened.children, timeout=10)
    assert left == []
    assert "Traceback" not in opened.rest


def test_nothing_but_desks_is_left_in_the_folder(opened: Served) -> None:
    names = {path.relative_to(opened.folder).as_posix() for path in opened.folder.rglob("*")}
    shipped = {path.name for path in (Path(__file__).parents[2] / "notebooks").glob("*.ipynb")}
    assert names == {"desks", "other.ipynb"} | {f"desks/{name}" for name in shipped | set(BESIDE)}


def test_a_folder_that_is_a_file_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "song").write_text("words")
    done = run_python(*OPENING, "song", place=tmp_path, home=tmp_path)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "is a file; the workbench opens on a folder" in done.stderr


DISK_FULL = """
import sys
import harmony.workbench.lab.worked as worked
from harmony.cli.main import main
from harmony.errors import HarmonyError

def refuse(path, text, *, overwrite):
    raise HarmonyError(f"{path} could not be written (no space left on device).")

worked.save_text = refuse
sys.exit(main(["workbench", "book", "--no-browser"]))
"""


def test_a_disk_that_fills_on_opening_is_one_sentence(tmp_path: Path) -> None:
    done = run_python("-c", DISK_FULL, place=tmp_path, home=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert "could not be written (no space left on device)" in done.stderr
