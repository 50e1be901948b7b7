"""Broken and hostile files: one sentence, nothing harmed, memory bounded."""

from __future__ import annotations

import io
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from harmony.reading.opening import read, read_bytes

HEAD = (
    b'<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>A</part-name>'
    b'</score-part></part-list><part id="P1">'
)
BAR = (
    b'<measure number="1"><attributes><divisions>1</divisions></attributes><note><pitch>'
    b"<step>C</step><octave>4</octave></pitch><duration>4</duration></note></measure>"
)
TAIL = b"</part></score-partwise>"
GOOD = HEAD + BAR + TAIL
BILLION = (
    b'<!DOCTYPE a [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">'
    b'<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>' + GOOD.replace(b">A<", b">&c;<")
)
EXTERNAL = b'<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]>' + GOOD.replace(
    b">A<", b">&x;<"
)
PARAMETER = b'<!DOCTYPE a [<!ENTITY % x SYSTEM "http://127.0.0.1:9/x.dtd"> %x;]>' + GOOD


def mxl(members: dict[str, bytes]) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return held.getvalue()


def container(path: str) -> bytes:
    return f'<container><rootfiles><rootfile full-path="{path}"/></rootfiles></container>'.encode()


def midi(*tracks: bytes, division: int = 96, kind: int = 1) -> bytes:
    chunks = b"".join(b"MTrk" + struct.pack(">I", len(track)) + track for track in tracks)
    return b"MThd" + struct.pack(">IHHH", 6, kind, len(tracks), division) + chunks


END = b"\x00\xff\x2f\x00"
NOTE = b"\x00\x90\x3c\x40\x60\x80\x3c\x00"

CASES = {
    "empty.xml": b"",
    "blank.musicxml": b"  \n ",
    "billion.xml": BILLION,
    "external.xml": EXTERNAL,
    "parameter.xml": PARAMETER,
    "utf16-bomb.xml": BILLION.decode().encode("utf-16"),
    "cut.musicxml": GOOD[:-40],
    "cut-early.musicxml": GOOD[:30],
    "latin.xml": b'<?xml version="1.0" encoding="utf-8"?>' + GOOD.replace(b">A<", b">\xe9<"),
    "unknown-encoding.xml": b'<?xml version="1.0" encoding="klingon"?>' + GOOD,
    "undefined.xml": GOOD.replace(b">A<", b">&nbsp;<"),
    "deep.xml": b"<score-partwise>" + b"<a>" * 100_000,
    "html.xml": b"<html><body>score</body></html>",
    "no-notes.xml": HEAD + b'<measure number="1"/>' + TAIL,
    "no-parts.xml": b"<score-partwise></score-partwise>",
    "bad-step.xml": GOOD.replace(b"<step>C", b"<step>H"),
    "bad-octave.xml": GOOD.replace(b"<octave>4", b"<octave>99"),
    "bad-duration.xml": GOOD.replace(b"<duration>4", b"<duration>four"),
    "endless-duration.xml": GOOD.replace(b"<duration>4", b"<duration>1e300"),
    "negative.xml": GOOD.replace(b"<duration>4", b"<duration>-4"),
    "bad-meter.xml": GOOD.replace(
        b"</divisions>", b"</divisions><time><beats>x</beats><beat-type>0</beat-type></time>"
    ),
    "long-bar.xml": GOOD.replace(b"<duration>4", b"<duration>4000"),
    "infinite.xml": GOOD.replace(b"<octave>4", b"<octave>inf"),
    "bad-key.xml": GOOD.replace(
        b"</divisions>", b"</divisions><key><fifths>99</fifths></key>"
    ),
    "empty.mxl": mxl({}),
    "no-score.mxl": mxl({"readme.txt": b"hello"}),
    "cut.mxl": mxl({"a.xml": GOOD})[:-30],
    "zip-bomb.mxl": mxl({"a.xml": b"<score-partwise>" + b" " * 60_000_000}),
    "container-bomb.mxl": mxl({"META-INF/container.xml": b" " * 200_000, "a.xml": GOOD}),
    "many.mxl": mxl({f"{n}.xml": b"" for n in range(1200)}),
    "container-entities.mxl": mxl({"META-INF/container.xml": BILLION, "a.xml": GOOD}),
    "empty.mid": midi(),
    "cut.mid": midi(NOTE * 50 + END)[:-60],
    "no-notes.mid": midi(END),
    "frames.mid": midi(NOTE + END, division=0xE728),
    "songs.mid": midi(NOTE + END, kind=2),
    "endless.mid": midi(b"\x00\x90\x3c\x40\xff\xff\xff\x7f\x80\x3c\x00" + END, division=1),
    "garbage.mid": b"MThd" + b"\xff" * 100,
    "garbage.abc": b"X:1\nK:\n" + bytes(range(128, 256)),
    "garbage.krn": b"**kern\n" + bytes(range(128, 256)),
    "unknown.bin": b"\x00\x01\x02\x03",
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_bad_files_get_one_sentence(name: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        read_bytes(CASES[name], name=name)
    message = caught.value.message
    assert "\n" not in message
    assert message.endswith((".", ")"))
    assert "Traceback" not in message


def test_an_external_entity_is_never_read() -> None:
    with pytest.raises(HarmonyError, match="entities"):
        read_bytes(EXTERNAL, name="x.xml")


@pytest.mark.parametrize(
    "path", ["../../outside.xml", "/etc/score.xml", "C:\\score.xml", "deep/er/score.musicxml"]
)
def test_odd_paths_in_archives_lead_nowhere(path: str, tmp_path: Path) -> None:
    data = mxl({"META-INF/container.xml": container(path), path: GOOD})
    (tmp_path / "odd.mxl").write_bytes(data)
    before = sorted(tmp_path.parent.rglob("*"))
    assert read(tmp_path / "odd.mxl").parts[0].name == "A"
    assert sorted(tmp_path.parent.rglob("*")) == before


def test_a_container_that_names_a_missing_file_is_forgiven() -> None:
    data = mxl({"META-INF/container.xml": container("gone.xml"), "score.xml": GOOD})
    assert read_bytes(data, name="x.mxl").parts[0].name == "A"


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "latin-1"])
def test_files_in_other_encodings_read_if_they_say_so(encoding: str) -> None:
    declared = {"latin-1": "iso-8859-1"}.get(encoding, encoding.removesuffix("-sig"))
    text = f'<?xml version="1.0" encoding="{declared}"?>' + GOOD.decode().replace(">A<", ">Flöte<")
    assert read_bytes(text.encode(encoding), name="x.xml").parts[0].name == "Flöte"


def test_missing_files_and_folders_get_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(HarmonyError, match="no file"):
        read(tmp_path / "gone.xml")
    with pytest.raises(HarmonyError, match="folder"):
        read(tmp_path)
    with pytest.raises(HarmonyError):
        read("nul\x00l.xml")


MEASURE = """
import resource, sys
from harmony.errors import HarmonyError
from harmony.reading.opening import read
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
try:
    read(sys.argv[1])
    print("read")
except HarmonyError as fault:
    print(fault)
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024)
"""


def peak_megabytes(path: Path) -> tuple[str, int]:
    done = subprocess.run(
        [sys.executable, "-c", MEASURE, str(path)], capture_output=True, text=True, check=True
    )
    told, peak = done.stdout.strip().splitlines()
    return told, int(peak)


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="measures memory by getrusage")
def test_large_files_stay_within_bounded_memory(tmp_path: Path) -> None:
    huge = tmp_path / "huge.xml"
    huge.write_bytes(HEAD + BAR * (50_000_000 // len(BAR)) + TAIL)
    told, peak = peak_megabytes(huge)
    assert "MB" in told
    assert peak < 100
    bomb = tmp_path / "bomb.mxl"
    bomb.write_bytes(CASES["zip-bomb.mxl"])
    told, peak = peak_megabytes(bomb)
    assert "unpacks to more" in told
    assert peak < 200
    spaces = tmp_path / "spaces.xml"
    spaces.write_bytes(HEAD + b" " * 38_000_000 + BAR + TAIL)
    told, peak = peak_megabytes(spaces)
    assert told == "read"
    assert peak < 300
