"""Gate: the notebooks in the checkout hold no outputs and no execution counts.

Outputs belong to the composer's own copy of a desk; in the checkout they hide
changes and grow the history. Run as ``python notebook_outputs.py FOLDER...``.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path


def find_faults(folder: Path) -> Iterator[str]:
    """Name every cell below ``folder`` that was saved with what it printed."""
    for path in sorted(folder.rglob("*.ipynb")):
        if ".ipynb_checkpoints" in path.parts:
            continue
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        for number, cell in enumerate(cells, start=1):
            if cell.get("outputs") or cell.get("execution_count") is not None:
                yield f"{path}: cell {number} holds outputs or an execution count"


def main(folders: list[str]) -> int:
    """Print the faults; the exit status is 1 if there are any."""
    faults = [fault for folder in folders for fault in find_faults(Path(folder))]
    print("\n".join(faults) or "Notebooks hold no outputs.")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
