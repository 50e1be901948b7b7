"""How long the unit tests take, as whoever changes something runs them."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.benchmarks.ledger import Ledger

UNITS = Path(__file__).parents[1] / "unit"


@pytest.mark.timeout(900)
def test_unit_tests_on_two_workers(ledger: Ledger) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", str(UNITS), "-n", "2", "-q", "-m", "not browser"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stdout[-2000:]
    told = re.search(r"(\d+) passed.* in ([\d.]+)s", ran.stdout)
    assert told, ran.stdout[-500:]
    ledger.enter("unit_tests", float(told[2]), note=f"{told[1]} tests")
    print(f"\nunit tests: {told[0]}")
