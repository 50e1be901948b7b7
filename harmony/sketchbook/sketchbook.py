"""The sketchbook: a folder of scores, each with a small record beside it.

A keep is two files, NAME.musicxml and NAME.json. No file system writes two files
in one step, so both are first completed in a hidden folder of their own
(``.keep-...``); from the moment that folder has its name the keep cannot be lost,
and whoever opens the sketchbook next finishes what a stopped process began.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from harmony.errors import HarmonyError, reason_of
from harmony.saving import settle_folder, write_through
from harmony.scoring.score import Score
from harmony.sketchbook.naming import check_name, numbered
from harmony.sketchbook.record import Record, read_record
from harmony.writing.musicxml import write_musicxml

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

SCORE_ENDING, RECORD_ENDING = ".musicxml", ".json"
_STAGED, _UNFINISHED = ".keep-", ".draft-"
_MOST_OF_ONE_NAME = 10_000
_ABANDONED_SECONDS = 3600  # a younger draft may be another process at work


@dataclass(frozen=True, slots=True)
class Keep:
    """Something kept: its name, its record, and the path of its score."""

    name: str
    record: Record
    score_path: Path

    @property
    def is_edited(self) -> bool:
        """True where the score was changed after it was kept."""
        digest = hashlib.sha256(self.score_path.read_bytes()).hexdigest()
        return digest != self.record.score_sha256


@dataclass(frozen=True, slots=True)
class Sketchbook:
    """A folder of keeps; made when the first is kept."""

    folder: Path

    def keep(self, name: str, score: Score | bytes, record: Record) -> Keep:
        """Keep a score (or the bytes of its MusicXML) under ``name``.

        Where the name is taken the next free one is used ("hymn 2"); nothing in
        the folder is ever changed or replaced.

        Raises
        ------
        HarmonyError
            If the name cannot be a file's, or the folder cannot be written to
            or is full; nothing is then kept and nothing lost.
        """
        wanted = check_name(name)
        data = score if isinstance(score, bytes) else write_musicxml(score)
        now = datetime.now(UTC).isoformat(timespec="microseconds")
        filled = replace(record, kept_at=now, score_sha256=hashlib.sha256(data).hexdigest())
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            self._finish_all()
            with self._stage(wanted, data, filled.to_bytes()) as staged:
                final = self._place(staged)
        except OSError as fault:
            raise _unwritable(self.folder, fault) from fault
        return Keep(final, filled, self._score_path(final))

    def keeps(self) -> tuple[Keep, ...]:
        """Give every keep, the latest first; damaged records are passed over."""
        found = []
        for name in self.names():
            with contextlib.suppress(HarmonyError):
                found.append(self._read(check_name(name)))
        return tuple(sorted(found, key=lambda keep: (keep.record.kept_at, keep.name), reverse=True))

    def names(self) -> tuple[str, ...]:
        """Give the names of the keeps, in order of the alphabet."""
        if not self.folder.is_dir():
            return ()
        # A folder that may only be read still shows what is in it.
        with contextlib.suppress(OSError):
            self._finish_all()
        there = {path.name for path in self.folder.iterdir() if not path.name.startswith(".")}
        return tuple(
            sorted(
                name.removesuffix(RECORD_ENDING)
                for name in there
                if name.endswith(RECORD_ENDING)
                and name.removesuffix(RECORD_ENDING) + SCORE_ENDING in there
            )
        )

    def open(self, name: str) -> Keep:
        """Open a keep by its name.

        Raises
        ------
        HarmonyError
            If there is no such keep or its record is damaged.
        """
        clean = check_name(name.removesuffix(SCORE_ENDING).removesuffix(RECORD_ENDING))
        if clean not in self.names():
            raise HarmonyError(
                f"The sketchbook {self.folder} has no keep called {clean!r}; one of those"
                " listed is accepted.",
                where=str(self._record_path(clean)),
            )
        return self._read(clean)

    def _read(self, name: str) -> Keep:
        record_path = self._record_path(name)
        try:
            data = record_path.read_bytes()
        except OSError as fault:
            raise HarmonyError(f"{record_path} cannot be read: {reason_of(fault)}.") from fault
        return Keep(name, read_record(data, name=record_path.name), self._score_path(name))

    def _score_path(self, name: str) -> Path:
        return self.folder / f"{name}{SCORE_ENDING}"

    def _record_path(self, name: str) -> Path:
        return self.folder / f"{name}{RECORD_ENDING}"

    @contextlib.contextmanager
    def _stage(self, wanted: str, score: bytes, record: bytes) -> Iterator[Path]:
        """Complete both files in a hidden folder and give it its lasting name.

        While this process is at it no other finishes the keep in its place.
        """
        mark = os.urandom(6).hex()
        draft = self.folder / f"{_UNFINISHED}{mark}"
        draft.mkdir()
        with _claim(draft):
            try:
                for name, data in (("score", score), ("record", record), ("name", wanted.encode())):
                    write_through(draft / name, data)
                settle_folder(draft)
                staged = self.folder / f"{_STAGED}{mark}"
                draft.rename(staged)
            except BaseException:
                shutil.rmtree(draft, ignore_errors=True)
                raise
            settle_folder(self.folder)
            yield staged

    def _place(self, staged: Path) -> str:
        """Give both files of a staged keep the first free name, or finish what was begun."""
        score, record = staged / "score", staged / "record"
        wanted = check_name((staged / "name").read_text(encoding="utf-8"))
        for name in self._candidates(wanted):
            score_path, record_path = self._score_path(name), self._record_path(name)
            if _is_same(score, score_path):
                if not record_path.exists() or _is_same(record, record_path):
                    _link(record, record_path)
                    break
                continue
            if score_path.exists() or record_path.exists():
                continue
            if _link(score, score_path) and _link(record, record_path):
                break
        settle_folder(self.folder)
        # Renamed first: a half-removed staged folder would look like another keep.
        spent = staged.with_name(staged.name.replace(_STAGED, _UNFINISHED))
        staged.rename(spent)
        shutil.rmtree(spent, ignore_errors=True)
        return name

    def _candidates(self, wanted: str) -> Iterator[str]:
        for number in range(1, _MOST_OF_ONE_NAME):
            yield numbered(wanted, number)
        raise HarmonyError(f"There are too many keeps called {wanted!r}; another name is accepted.")

    def _finish_all(self) -> None:
        """Finish what stopped processes staged."""
        for path in sorted(self.folder.glob(f"{_STAGED}*")):
            # What another process holds it is about to finish itself.
            with contextlib.suppress(FileNotFoundError, HarmonyError), _claim(path) as is_ours:
                if is_ours and path.exists():
                    self._place(path)
        for path in self.folder.glob(f"{_UNFINISHED}*"):
            with contextlib.suppress(OSError):
                if time.time() - path.stat().st_mtime > _ABANDONED_SECONDS:
                    shutil.rmtree(path, ignore_errors=True)


@contextlib.contextmanager
def _claim(folder: Path) -> Iterator[bool]:
    """Hold a folder against other processes, where the system can; False where one has it.

    The hold goes with the process, however it ends.
    """
    if fcntl is None:
        yield True
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            yield False
        except OSError:  # a file system without holds
            yield True
        else:
            yield True
    finally:
        os.close(handle)


def _is_same(staged: Path, placed: Path) -> bool:
    """True where a placed file is the staged one, linked or copied."""
    try:
        return placed.samefile(staged) or placed.read_bytes() == staged.read_bytes()
    except FileNotFoundError:
        return False


def _link(staged: Path, target: Path) -> bool:
    """Give a staged file its name, never over another; False where the name is taken."""
    try:
        target.hardlink_to(staged)
    except FileExistsError:
        return _is_same(staged, target)
    except OSError as fault:
        if fault.errno not in (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EXDEV):
            raise
        return _copy(staged, target)
    return True


def _copy(staged: Path, target: Path) -> bool:
    """Copy where the system has no links: whole under a hidden name, then renamed."""
    if target.exists():
        return _is_same(staged, target)
    draft = target.with_name(f"{_UNFINISHED}{os.urandom(6).hex()}")
    write_through(draft, staged.read_bytes())
    draft.rename(target)
    return True


def _unwritable(folder: Path, fault: OSError) -> HarmonyError:
    if fault.errno == errno.ENOSPC:
        reason = "the disk is full"
    elif fault.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        reason = "it may only be read"
    else:
        reason = reason_of(fault)
    return HarmonyError(
        f"Nothing could be kept in {folder}: {reason}; "
        "a folder that can be written to is accepted.",
        where=str(folder),
    )
