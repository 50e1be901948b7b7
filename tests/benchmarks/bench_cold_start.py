"""Cold start of `harmony voice` against `import numpy`, measured in pairs.

Aim: at most 2.5 times the import of numpy plus 0.15 s, medians of pairs.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

from tests.benchmarks.ledger import Ledger

PAIRS = 15
VOICE = ["-m", "harmony", "voice", "D: I V6 | ii65 V7 | I", "--for", "SATB choir"]
NUMPY = ["-c", "import numpy"]


def time_process_seconds(words: list[str], folder: Path) -> float:
    """Time one whole process of this Python, from start to exit, as a composer starts it."""
    surroundings = {
        **os.environ,
        "OMP_NUM_THREADS": "1",
        "OPENBLAS_NUM_THREADS": "1",
        "PYTHONPYCACHEPREFIX": str(folder / "compiled"),
    }
    surroundings.pop("PYTHONDONTWRITEBYTECODE", None)
    started = time.perf_counter()
    subprocess.run(
        [sys.executable, *words],
        cwd=folder,
        env=surroundings,
        check=True,
        stdout=subprocess.DEVNULL,
    )
    return time.perf_counter() - started


def test_cold_start_of_voice(tmp_path: Path, ledger: Ledger) -> None:
    for words in (VOICE, NUMPY):  # compiled files written, disk cache warm
        time_process_seconds(words, tmp_path)
    pairs = [
        (time_process_seconds(VOICE, tmp_path), time_process_seconds(NUMPY, tmp_path))
        for _ in range(PAIRS)
    ]
    voice = statistics.median(pair[0] for pair in pairs)
    numpy = statistics.median(pair[1] for pair in pairs)
    aim = 2.5 * numpy + 0.15
    ledger.enter("cold_start", voice / aim, note=f"{voice:.2f} s, numpy {numpy:.2f} s")
    print(
        f"\ncold start, medians of {PAIRS} pairs: harmony voice {voice:.3f} s,"
        f" import numpy {numpy:.3f} s, ratio {voice / numpy:.2f}; aim {aim:.3f} s"
    )
