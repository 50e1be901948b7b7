"""What `harmony voice` does not load: heavy libraries stay off the path that needs none."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

HEAVY = {
    "IPython", "anywidget", "ipywidgets", "jupyter_client", "jupyter_server", "jupyterlab", "lxml",
    "matplotlib", "music21", "nbformat", "numba", "pandas", "scipy", "tornado", "traitlets",
    "verovio",
}  # fmt: skip

ASK = """
import sys
from harmony.cli.main import main
status = main(sys.argv[1:])
print(" ".join(sorted({name.partition(".")[0] for name in sys.modules})), file=sys.stderr)
sys.exit(status)
"""


def list_loaded(*words: str, folder: Path) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-c", ASK, *words],
        cwd=folder,
        check=False,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    return set(done.stderr.splitlines()[-1].split())


def test_voice_loads_numpy_and_nothing_heavier(tmp_path: Path) -> None:
    words = ("voice", "D: I V6 | ii65 V7 | I", "--for", "SATB choir")
    loaded = list_loaded(*words, folder=tmp_path)
    assert "numpy" in loaded
    assert loaded & HEAVY == set()


def test_writing_the_score_loads_no_more(tmp_path: Path) -> None:
    words = ("voice", "D: I V7 | I", "--for", "SATB choir", "-o", "hymn.musicxml")
    assert list_loaded(*words, folder=tmp_path) & HEAVY == set()
    assert (tmp_path / "hymn.musicxml").is_file()


def test_parse_loads_not_even_numpy(tmp_path: Path) -> None:
    loaded = list_loaded("parse", "D: I V6 | ii65 V7 | I", folder=tmp_path)
    assert loaded & (HEAVY | {"numpy"}) == set()
