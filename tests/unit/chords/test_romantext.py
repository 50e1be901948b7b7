"""RomanText files: headers, repeats, variants, pedals, open slashes, and broken files."""

from __future__ import annotations

import pytest

from harmony.chords.api import parse
from harmony.chords.romantext import is_romantext, read_romantext
from harmony.errors import TextError

FILE = """\
Composer: Anon.
Title: A study | with a bar line in its title
Analyst: The workbench's own
Time Signature: 3/4

Note: begins with an upbeat
m0 b3 G: I
m1 IV6 b3 V6
m2 I b2 V || b3 vi
m2var1 I b2 V65 b3 zz
m2var2 I b3 e: i
m3 C: IV b2.5 viio6/ b3 V
m5-6 = m1-2
Pedal: 1 m5 b1 m6 b2
Time Signature: 4/4
m7 ( vii ) b3 ?(a: I
m8a V b3
m8b I ||
stray
"""


def tell(text: str) -> list[str]:
    return [
        f"{s.bar}.{float(s.beat):g} {s.key}: {s.figure}" for s in read_romantext(text).progression
    ]


def test_a_whole_file() -> None:
    file = read_romantext(FILE)
    assert tell(FILE) == [
        "0.3 G: I", "1.1 G: IV6", "1.3 G: V6", "2.1 G: I", "2.2 G: V", "2.3 G: vi", "3.1 C: IV",
        "3.2.5 C: viio6/V", "3.3 C: V", "5.1 G: IV6", "5.3 G: V6", "6.1 G: I", "6.2 G: V",
        "6.3 G: vi", "7.1 G: vii", "7.3 G: I", "8.1 G: V",
    ]  # fmt: skip
    assert file.header("composer") == "Anon."
    assert file.notes == ((1, "begins with an upbeat"),)
    assert [str(meter) for _, meter in file.progression.meters.changes] == ["3/4", "4/4"]
    assert file.progression.meters.pickup == 1


def test_variants_are_kept_apart() -> None:
    file = read_romantext(FILE)
    assert [(v.name, len(v.slots)) for v in file.variants] == [
        ("m2var1", 0), ("m2var2", 2), ("m8b", 1)
    ]  # fmt: skip
    assert str(file.variants[1].slots[1].key) == "e"


def test_what_cannot_be_used_is_told() -> None:
    remarks = " ".join(read_romantext(FILE).remarks)
    assert "In bar 3 viio6/ is read as viio6/V." in remarks
    assert "In bar 8 the beat b3 has no chord." in remarks
    assert "'stray' is neither a bar nor a header" in remarks
    assert "The reading m2var1 is left aside" in remarks


def test_a_pedal_is_counted_in_the_key_of_its_place() -> None:
    held = [s for s in read_romantext(FILE).progression if s.pedal is not None]
    assert [(s.bar, s.figure, str(s.pedal)) for s in held] == [
        (5, "IV6", "G"), (5, "V6", "G"), (6, "I", "G")
    ]  # fmt: skip


def test_a_pedal_in_an_unknown_place_is_left_aside_with_a_remark() -> None:
    file = read_romantext("m1 C: I\nPedal: 5 m1 b9 m2\n")
    assert "left aside" in file.remarks[0]
    assert all(slot.pedal is None for slot in file.progression)


def test_open_slashes_chain() -> None:
    assert tell("m1 C: V/\nm3 V/\nm5 V/V b3 V6/\nm6 V\n") == [
        "1.1 C: V/V/V/V", "3.1 C: V/V/V", "5.1 C: V/V", "5.3 C: V6/V", "6.1 C: V"
    ]  # fmt: skip


def test_beats_of_compound_meters_may_be_counted_in_eighths() -> None:
    file = read_romantext("Time Signature: 6/8\nm1 C: I b4 V\nm2 I\n")
    assert [s.beat for s in file.progression] == [1, 2, 1]
    assert "counted in eighths" in file.remarks[0]
    assert [s.beat for s in read_romantext("Time Signature: 6/8\nm1 C: I b2 V\n").progression] == [
        1,
        2,
    ]


def test_a_full_first_bar_may_be_called_0() -> None:
    file = read_romantext("m0 C: I b3 V\nm1 I\n")
    assert [s.onset for s in file.progression] == [0, 2, 4]
    assert parse(str(file.progression)) == file.progression


@pytest.mark.parametrize(
    ("text", "message", "where"),
    [
        ("m1 C: I b3 Zz\n", "In bar 1, 'Zz' is not a chord", "bar 1, column 12"),
        ("m1 C: I\nm3 = m4\n", "cannot be bars 4 to 4", "line 2"),
        ("m1 C: I\nm2-4 = m1-2\n", "as many bars", "line 2"),
        ("m2 C: I\nm1 V\n", "comes after bar 2", "line 2"),
        ("m1 C: I\nTime Signature: x\nm2 V\n", "is not a meter", "line 2"),
        ("m1 C:\n", "no chord", "line 1"),
        ("m1 I\n", "has no key", "bar 1, column 4"),
        ("m1 C: I\nm999999 V", "beyond any piece", "line 2"),
        ("m1 C: I b5 V\n", "has beats 1 to 4", "bar 1"),
    ],
)
def test_faults_name_bar_or_line(text: str, message: str, where: str) -> None:
    with pytest.raises(TextError) as caught:
        read_romantext(text)
    assert message in caught.value.message
    assert where in (caught.value.where or "")


def test_files_are_told_from_typed_text() -> None:
    assert is_romantext(FILE)
    assert is_romantext("m1 C: I || b3 V")
    assert not is_romantext("m0 b3 C: V | I")
    assert not is_romantext("C: I V | I")
    assert [s.figure for s in parse(FILE)][:3] == ["I", "IV6", "V6"]
