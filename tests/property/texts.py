"""Strategies that write progressions: well formed, and hostile."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import strategies as st

LETTERS = st.sampled_from("ABCDEFG")
ACCIDENTALS = st.sampled_from(["", "", "#", "b", "bb", "##"])
NAMES = st.builds(str.__add__, LETTERS, ACCIDENTALS)
KEYS = st.one_of(NAMES, NAMES.map(lambda name: name[0].lower() + name[1:]))
METERS = st.sampled_from(["4/4", "3/4", "2/4", "6/8", "9/8", "5/4", "3+2/8", "2/2", "7/8"])

DEGREES = st.sampled_from(
    ["I", "II", "III", "IV", "V", "VI", "VII", "i", "ii", "iii", "iv", "v", "vi", "vii"]
)
SIGNS = st.sampled_from(["", "", "", "o", "ø", "+"])
FIGURES = st.sampled_from(
    ["", "", "6", "64", "7", "65", "43", "42", "2", "9", "54", "6/5", "b9", "11"]
)
CHANGES = st.sampled_from(["", "", "", "[no5]", "[no3][add4]", "[add9]", "[b7]", "[add6]", "[no1]"])
TARGETS = st.sampled_from(["", "", "", "/V", "/ii", "/bVI", "/V/V", "/vi", "/N"])
PLAIN_NUMERALS = st.builds(
    lambda *parts: "".join(parts),
    st.sampled_from(["", "", "", "#", "b"]), DEGREES, SIGNS, FIGURES, CHANGES, TARGETS,
)  # fmt: skip
SPECIAL_NUMERALS = st.sampled_from(
    ["N6", "N", "It6", "Fr43", "Ger65", "Ger65/V", "Cad64", "CTo7", "V4-3", "V64-53", "V(64)"]
)
NUMERALS = st.one_of(PLAIN_NUMERALS, SPECIAL_NUMERALS)

SUFFIXES = st.sampled_from(
    "|m|7|maj7|m7|dim|dim7|ø7|+|sus4|7sus4|6|m6|6/9|9|m9|maj9|11|13|7b9|7#9|7alt|7(b9,b13)|add9|5"
    "|m(maj7)|7#5|C(no3)".replace("C", "").split("|")
)
SYMBOLS = st.builds(
    lambda root, suffix, bass: root + suffix + bass,
    NAMES, SUFFIXES, st.one_of(st.just(""), NAMES.map("/{}".format)),
)  # fmt: skip
SONORITIES = st.one_of(
    st.lists(NAMES, min_size=1, max_size=6).map(lambda names: "{" + " ".join(names) + "}"),
    st.lists(NAMES, min_size=2, max_size=6).map(lambda names: "{" + " ".join(names) + ", stacked}"),
    st.lists(
        st.builds(lambda name, octave: f"{name}{octave}", NAMES, st.integers(1, 6)),
        min_size=1,
        max_size=7,
    ).map(lambda notes: "{" + " ".join(notes) + "}"),
)
POLYCHORDS = st.builds("{} over {}".format, SYMBOLS, SYMBOLS)
CHORDS = st.one_of(NUMERALS, NUMERALS, SYMBOLS, SONORITIES, POLYCHORDS, st.just("N.C."))


@st.composite
def bars(draw: st.DrawFn) -> str:
    """Write one bar: chords that share it, or chords on beats, or a repeat."""
    shape = draw(st.sampled_from(["shared", "shared", "beats", "slashes", "repeat", "empty"]))
    if shape == "repeat":
        return "%"
    if shape == "empty":
        return ""
    chords = draw(st.lists(CHORDS, min_size=1, max_size=4))
    if shape == "beats":
        places = draw(st.permutations(["1", "1.5", "2", "5/3", "1.25"]))[: len(chords)]
        ordered = sorted(places, key=Fraction)
        return " ".join(f"b{p} {c}" for p, c in zip(ordered, chords, strict=True))
    if shape == "slashes":
        return " / ".join(chords)
    return " ".join(chords)


@st.composite
def progressions(draw: st.DrawFn) -> str:
    """Write a whole progression, with keys, meters and pedals."""
    words = [f"{draw(METERS)} {draw(KEYS)}: {draw(CHORDS)}"]
    for bar in draw(st.lists(bars(), max_size=5)):
        head = draw(st.sampled_from(["", "", "", "key", "meter"]))
        if head == "key":
            bar = f"{draw(KEYS)}: {bar}"
        if head == "meter" and bar != "%":
            bar = f"{draw(METERS)} {bar}"
        if bar.strip() and draw(st.integers(0, 5)) == 0 and head == "":
            above = draw(st.sampled_from(["", " above"]))
            bar = f"pedal {draw(NAMES)}{above} [ {bar} ]"
        words.append(bar)
    return " | ".join(words)


#: Pieces of the notation, thrown together without sense.
FRAGMENTS = st.sampled_from(
    [
        "|",
        "||",
        ":",
        "|:",
        ":|",
        "%",
        "/",
        "b3",
        "b2.5",
        "b0",
        "b99",
        "b.",
        "b1/0",
        "3/4",
        "0/4",
        "4/0",
        "D:",
        "d:",
        "Abb:",
        "x:",
        "I",
        "V7",
        "iiø65",
        "viio7/V",
        "V/",
        "/V",
        "//",
        "It6",
        "Cad",
        "CTo7",
        "N",
        "Dm7",
        "C/",
        "C/E",
        "C(b5",
        "C(b5)",
        "D:maj7/3",
        "D:(1,5)",
        "{",
        "}",
        "{C}",
        "{C4",
        "E}",
        "{,",
        "stacked}",
        "[",
        "]",
        "[no5]",
        "pedal",
        "D",
        "[",
        "pedal",
        "]",
        "over",
        "m0",
        "m1",
        "m5-8",
        "m1var1",
        "=",
        "Time",
        "Signature:",
        "Note:",
        "\n",
        "\t",
        "(",
        ")",
        "?(g:",
        "°",
        "♭",
        "♯",
        "𝄪",
        "–",
        "########",
        "bbbbbbbbbb",
        "Bbbbbbbbbbb7",
        "V[",
        "V[no",
        "V4-3",
        "V-3",
        "1",
        "0",
        "-1",
        ";",
        ",",
        "N.C.",
        "@none",
        "\x00",
        "é",
        "中",
    ]
)
SALAD = st.lists(FRAGMENTS, max_size=14).map(" ".join)
GLUED = st.lists(FRAGMENTS, max_size=8).map("".join)
HOSTILE = st.one_of(st.text(max_size=60), SALAD, GLUED)
