"""Opening every score of the music21 corpus, one after another, and noting what came of each.

Run alone, ``python -m tests.corpora.sweeping LOG`` goes on where an earlier run
with the same log stopped, and ends with a table of what was met.
"""

from __future__ import annotations

import re
import sys
import time
import traceback
from collections import Counter
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import NamedTuple

from harmony.errors import HarmonyError
from harmony.reading.opening import ENDINGS, read
from harmony.saving import save_text
from tests.limits import TooSlow, limit

#: No file of the corpus is so long that a composer would wait more for it.
LONGEST_SECONDS = 240


class Met(NamedTuple):
    """What came of one file: ``kind`` is read, refused, slow or traceback."""

    name: str
    seconds: float
    kind: str
    message: str


def corpus_folder() -> Path:
    """Give the folder of music21's corpus."""
    found = find_spec("music21")
    assert found is not None
    assert found.origin is not None
    return Path(found.origin).parent / "corpus"


def corpus_files() -> list[Path]:
    """Give every score of the corpus that has an ending known here."""
    return sorted(path for path in corpus_folder().rglob("*") if path.suffix in ENDINGS)


def sweep(files: Sequence[Path], log: Path) -> list[Met]:
    """Open each file that the log does not name yet; give the log as a whole."""
    log.parent.mkdir(parents=True, exist_ok=True)
    done = read_log(log)
    known = {met.name for met in done}
    # Written anew, as nothing may follow a line that a kill cut off.
    save_text(log, "".join(map(_line, done)), overwrite=True)
    with log.open("a", encoding="utf-8") as out:
        for path in files:
            name = path.relative_to(corpus_folder()).as_posix()
            if name in known:
                continue
            met = meet(path, name)
            out.write(_line(met))
            out.flush()
    return read_log(log)


def _line(met: Met) -> str:
    return f"{met.name}\t{met.seconds:.2f}\t{met.kind}\t{met.message}\n"


def meet(path: Path, name: str) -> Met:
    """Open one file and say what came of it."""
    started = time.perf_counter()
    kind, message = "read", ""
    try:
        with limit(LONGEST_SECONDS):
            score = read(path)
        message = " ".join(score.losses)
        if not score.end > 0:
            kind, message = "traceback", "The score has no length."
    except HarmonyError as fault:
        kind, message = "refused", fault.message
        if "\n" in message:
            kind = "traceback"
    except TooSlow:
        kind = "slow"
        message = f"{path.name} takes more than {LONGEST_SECONDS} seconds."
    except Exception:  # noqa: BLE001 - finding these is the purpose
        kind, message = "traceback", traceback.format_exc(limit=-3)
    return Met(name, time.perf_counter() - started, kind, " ".join(message.split()))


def read_log(log: Path) -> list[Met]:
    """Read what is noted so far; a last line cut off is left out."""
    if not log.exists():
        return []
    found = []
    for line in log.read_text(encoding="utf-8").splitlines(keepends=True):
        fields = line.rstrip("\n").split("\t", 3)
        if line.endswith("\n") and len(fields) == 4:
            found.append(Met(fields[0], float(fields[1]), fields[2], fields[3]))
    return found


def kinds_of_sentence(mets: Sequence[Met]) -> Counter[str]:
    """Count the sentences told about files, whatever the name or number in them."""
    kinds: Counter[str] = Counter()
    for met in mets:
        told = re.split(r"(?<=\.) (?=[A-Z])", met.message) if met.message else []
        kinds.update(re.sub(r"\d+", "N", sentence.replace(Path(met.name).name, "FILE"))
                     for sentence in told)  # fmt: skip
    return kinds


def report(mets: Sequence[Met]) -> str:
    """Say how many files there were, what came of them and what was told."""
    kinds = Counter(met.kind for met in mets)
    slowest = max(mets, key=lambda met: met.seconds)
    lines = [
        f"{len(mets)} files: "
        + ", ".join(f"{count} {kind}" for kind, count in kinds.most_common()),
        f"{sum(met.seconds for met in mets):.0f} seconds; longest {slowest.name}, "
        f"{slowest.seconds:.1f}",
    ]
    for kind in ("traceback", "slow", "refused"):
        lines += [f"{kind}: {met.name}: {met.message}" for met in mets if met.kind == kind]
    lines += [f"{count:6} {sentence}" for sentence, count in kinds_of_sentence(mets).most_common()]
    return "\n".join(lines)


if __name__ == "__main__":
    print(report(sweep(corpus_files(), Path(sys.argv[1]))))
