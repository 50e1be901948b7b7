"""Looking for input that does more than be refused in one sentence.

``python -m tests.sweep.searching SECONDS FOLDER [DOOR ...]`` searches each door for
that long and writes what it finds, with its traceback, into the folder.
"""

from __future__ import annotations

import hashlib
import sys
import time
import traceback
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import NamedTuple

from harmony.errors import HarmonyError
from tests.limits import TooSlow, limit
from tests.sweep.doors import Door, doors
from tests.sweep.mutating import spoil

#: A composer waits no longer for input of this size; what takes longer is a finding.
LONGEST_SECONDS = 20
_MOST_KEPT = 400


class Finding(NamedTuple):
    """Input that was neither let in nor refused as it should be, and what it did."""

    place: str
    data: bytes
    told: str


def meet(door: Door, data: bytes) -> Finding | None:
    """Give input to a door; say what went wrong, if anything did."""
    try:
        with limit(LONGEST_SECONDS):
            door.enter(data)
    except HarmonyError as fault:
        if "\n" in fault.message or not fault.message.strip():
            return Finding("refused in more than a sentence", data, fault.message)
    except TooSlow:
        return Finding("slow", data, f"over {LONGEST_SECONDS} seconds")
    except Exception as fault:  # noqa: BLE001 - finding these is the purpose
        last = traceback.extract_tb(fault.__traceback__)[-1]
        place = f"{type(fault).__name__} {Path(last.filename).name}:{last.name}:{last.lineno}"
        return Finding(place, data, traceback.format_exc())
    return None


def search(door: Door, *, seed: int, seconds: float = 0, most: int = 0) -> Iterator[Finding]:
    """Spoil good input for some seconds, or ``most`` times; give each kind of finding once."""
    chance = Random(seed)
    known: set[str] = set()
    pool = list(door.good)
    until, count = time.monotonic() + seconds, 0
    while (most and count < most) or (not most and time.monotonic() < until):
        count += 1
        data = spoil(chance.choice(pool), chance, door.words, door.good)
        found = meet(door, data)
        if found is not None and found.place not in known:
            known.add(found.place)
            yield found
        # What was spoilt once is spoilt further, so that faults deeper in are met too.
        if chance.random() < 0.05:
            if len(pool) < _MOST_KEPT:
                pool.append(data)
            else:
                pool[chance.randrange(len(door.good), _MOST_KEPT)] = data


def main(seconds: float, folder: Path, names: list[str]) -> None:
    """Search the named doors, or all, and write what is found."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in names or doors():
        for found in search(doors()[name], seed=time.time_ns(), seconds=seconds):
            mark = hashlib.sha256(found.place.encode()).hexdigest()[:8]
            (folder / f"{name}-{mark}.input").write_bytes(found.data)
            (folder / f"{name}-{mark}.txt").write_text(f"{found.place}\n{found.told}")
            print(f"{name}: {found.place}", flush=True)
        print(f"{name}: done", flush=True)


if __name__ == "__main__":
    main(float(sys.argv[1]), Path(sys.argv[2]), sys.argv[3:])
