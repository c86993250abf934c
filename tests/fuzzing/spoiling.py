"""Made-up inputs that somebody has spoiled, one class of them a function; a seed makes each.

Every function gives what is to be done, named for the report of a failure: the input as it can
be tried again by hand, and a call that does it.
"""

import hashlib
import re
import tomllib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random
from typing import NamedTuple, TypeVar

import rewriter
from rewriter.checking.house import load_house
from rewriter.cli.streams import without_controls
from rewriter.reporting.differences_text import differences_as_text
from rewriter.reporting.look_text import look_as_text
from rewriter.rulefiles.ensemble_files import ensemble_from_text
from rewriter.rulefiles.layout_files import layout_from_text
from rewriter.rulefiles.loading import load_ensemble, resolve_layout
from rewriter.rulefiles.plan_files import plan_from_text
from rewriter.rulefiles.project_files import load_project
from tests.property.strategies import FEATURES, compose

T = TypeVar("T")

SCORES = Path(__file__).parents[2] / "scores"
LAYOUTS = (
    "Vn I / Vla",
    "half Vn I 8va / half Vn I + Vla",
    "Vc",
    "Vn I + Vn II / Vla / Vc / Db",
    "three-levels-middle-doubled",
)
NUMBERS = ("1e99999999", "1e-99999999", "9" * 5000, "-" + "9" * 5000, "0." + "9" * 5000, "nan",
           "inf", "-inf", "0", "-1", "1_0", "\u0664", "0x10", "1.5", "", " 7 ", "16383", "1e3",
           "99999999999", "0.000000000001", "+1", "1/2", "--1", "1.", ".5")  # fmt: skip
TEXTS = (
    "&lt;a&gt;", "&amp;", "&quot;", "&apos;", "]]&gt;", "&#10;", "&#9;", "&#13;", "&#x85;",
    "\u009b[2J", "\u202e", "\ufffd", "\U0001f3bb", "", " ", "x" * 3000, "a b", "--&gt;",
    "[Vn I / Vc]", "[x.toml]", "[../x.toml]", "[", "P1", "start", "{}", "%b", "%s", "\\x0e",
    "&lt;/measure&gt;", "&lt;note&gt;", "/&gt;",
)  # fmt: skip
SIGNS = (
    '"', "'", "[", "]", "{", "}", "=", ".", ",", "#", "\\", "\n", " ", "/", "+", "-", "9",
    "\\u001b", "\\u000e", "\\b", '"""', "'''", "\t", "\r", "\u2028", "\x00", "\x1b",
    "beat ", "half ", "desk ", "octave ", "8va ", "(2)", "end", "start", "nan", "inf",
)  # fmt: skip
FIELD = '<miscellaneous-field name="content-digest">' + "0" * 64 + "</miscellaneous-field>"
VALUE = re.compile(r">([^<>]+)<|=\"([^\"]*)\"")
TAG = re.compile(r"<[^>]*>")
DIGITS = re.compile(r">(-?[0-9.]+)<|=\"(-?[0-9.]+)\"")
_DIGEST = re.compile(rb'name="content-digest">([0-9a-f]{64})<')


class Attempt(NamedTuple):
    """One input, and what is to be done with it; the call gives the scores that come of it."""

    shown: str
    call: Callable[[], list[bytes]]


def made_up(rng: Random) -> str:
    """A sketch."""
    features = frozenset(one for one in FEATURES if rng.random() < 0.5)
    return compose(rng.randint(1, 4), features, rng.randrange(10**6)).data.decode()


def put(rng: Random, text: str, pattern: re.Pattern[str], values: tuple[str, ...]) -> str:
    """One to three places of a text that say something else."""
    for _ in range(rng.randint(1, 3)):
        found = list(pattern.finditer(text))
        if not found:
            return text
        start, end = (one := rng.choice(found)).span(one.lastindex or 0)
        text = text[:start] + rng.choice(values) + text[end:]
    return text


def _scored(data: bytes, rng: Random) -> Attempt:
    layout, cues = rng.choice(LAYOUTS), rng.randint(0, 2)
    settings = {
        "keep_sketch": rng.random() < 0.3,
        "keep_harmony": rng.random() < 0.5,
        "keep_lyrics": rng.random() < 0.5,
    }
    key = rng.choice(("", "", "D", "Ab"))

    def call() -> list[bytes]:
        made = rewriter.expand(data, layout, tune="P1", key=key, **settings)  # type: ignore[arg-type]  # three truths
        return [made.score, *(p.data for p in rewriter.parts(made.score, cue_notes=cues))]

    return Attempt(f"{layout!r} {key!r} {settings} of {data!r}", call)


def texts(rng: Random) -> Attempt:
    """Names, words and attributes replaced by what is hard to write."""
    return _scored(put(rng, made_up(rng), VALUE, TEXTS).encode(), rng)


def attributes(rng: Random) -> Attempt:
    """Attributes added to tags of all kinds, some of a namespace."""
    text = made_up(rng)
    spaces = ' xmlns:a="urn:a" xmlns:xlink="urn:x"'
    at_top = "xmlns:xlink" not in text and rng.random() < 0.7
    if at_top:
        text = text.replace("<score-partwise", f"<score-partwise{spaces}", 1)
    for _ in range(rng.randint(1, 3)):
        tag = rng.choice([one for one in TAG.finditer(text) if one[0][1] not in "/?!"])
        name = rng.choice(("number", "xml:lang", "xml:id", "a:b", "type", "id", "xlink:href",
                           "implicit", "new", "x"))  # fmt: skip
        declared = spaces if ":" in name and not at_top else ""
        added = f'{declared} {name}="{rng.choice(TEXTS)}"'
        at = tag.start() + len(re.match(r"<[^\s/>]+", tag[0])[0])  # type: ignore[index]  # it is a tag
        if f" {name}=" not in tag[0]:
            text = text[:at] + added + text[at:]
    return _scored(text.encode(), rng)


def numbers(rng: Random) -> Attempt:
    """Numbers replaced by some that no music has."""
    return _scored(put(rng, made_up(rng), DIGITS, NUMBERS).encode(), rng)


def elements(rng: Random) -> Attempt:
    """Elements repeated or taken from one place to another."""
    return _scored(shuffled(rng, made_up(rng)).encode(), rng)


def shuffled(rng: Random, text: str) -> str:
    """One to four elements repeated, or put where others stood."""
    whole = re.compile(r"<([a-z-]+)(?: [^>]*)?>[^<]*</\1>|<[a-z-]+(?: [^>]*)?/>")
    for _ in range(rng.randint(1, 4)):
        one, other = rng.choices(list(whole.finditer(text)), k=2)
        behind = other.end() if rng.random() < 0.5 else other.start()
        text = text[: other.start()] + one[0] + text[behind:]
    return text


def looks(rng: Random) -> Attempt:
    """Spoiled sketches that are looked at; the plan that is printed is TOML."""
    pattern, values = rng.choice(((VALUE, TEXTS), (DIGITS, NUMBERS)))
    data = put(rng, made_up(rng), pattern, values).encode()

    def call() -> list[bytes]:
        seen = rewriter.look(data)
        assert tomllib.loads(seen.plan)["passage"]
        assert seen.plan == without_controls(seen.plan)
        assert look_as_text(seen)
        return []

    return Attempt(f"{data!r}", call)


def compared(rng: Random) -> Attempt:
    """Spoiled scores compared with themselves, which they are, and with what they were."""
    pattern, values = rng.choice(((VALUE, TEXTS), (DIGITS, NUMBERS)))
    music = made_up(rng)
    data = put(rng, music, pattern, values).encode()

    def call() -> list[bytes]:
        assert rewriter.differences(data, data).are_none
        assert differences_as_text(rewriter.differences(music.encode(), data))
        return []

    return Attempt(f"{data!r}", call)


def signed(rng: Random) -> Attempt:
    """The tool's own score changed, under a digest that fits.

    Tags stay in pairs: a file whose digest fits is cut, not parsed, and whoever forges one that
    is no XML gets none.
    """
    pattern = rng.choice((VALUE, DIGITS))
    text = put(rng, _own().decode(), pattern, (*TEXTS, *NUMBERS))
    if rng.random() < 0.5:
        at = rng.choice(list(TAG.finditer(text))).start()
        text = text[:at] + rng.choice((FIELD, "<note/>", "text", "<backup/>")) + text[at:]
    data = text.encode()
    if match := _DIGEST.search(data):
        blank = data[: match.start(1)] + b"0" * 64 + data[match.end(1) :]
        digest = hashlib.sha256(blank).hexdigest().encode()
        data = data[: match.start(1)] + digest + data[match.end(1) :]
    call = lambda: [p.data for p in rewriter.parts(data, cue_notes=1)]  # noqa: E731 - one call
    return Attempt(f"parts of {data!r}", call)


@cache
def _own() -> bytes:
    music = compose(4, frozenset(FEATURES), 5)
    return rewriter.expand(music.data, "Vn I / Vla", tune=music.tune, keep_harmony=True).score


RULES = {
    "layout": 'title = "x"\nstack = "Vc / Db"\n[line."Vc"]\ndynamic = "-1"\nmarking = "espr."\n'
    'handover = { above = "A4", to = "Vla" }\n[[with]]\nfrom = "Bass"\nto = "Db"\n'
    '[condition]\nbecause = "x"\ncellos_from = "D3"\n[limits]\nout_of_range = "rest"\n',
    "house": 'extends = "strict"\nleading = "Vc"\n[rule.long-at-the-top]\nmost = 2\n'
    'severity = "off"\n[[scoring]]\nwhere = { statement = "last", above = "A4" }\n'
    'want = "four-levels"\ndouble = "Vla with Vc"\n[[scoring]]\nmust_play = ["Vn I"]\n'
    'handover = { section = "Vc", above = "A4", to = "Vla" }\n',
    "plan": '[[passage]]\nbars = "1-8"\nstack = "Vc"\nkey = "G"\npickup = 1.5\n'
    '[[passage]]\nfrom = "A beat 2"\nto = "end"\nlayout = "four-levels"\noctave = "8va"\n',
    "ensemble": 'title = "x"\nbased_on = "symphonic"\n[[section]]\nname = "Vc"\nplayers = 3\n'
    'low = "C2"\nregisters = [{ name = "a", from = "C2", sings = 0.5 }]\n'
    + "".join(
        f'[section.names.{language}]\nsingular = "Cello"\nplural = "Celli"\n'
        'abbreviation = "Vc."\n'
        for language in ("en", "it", "de", "fr")
    ),
    "project": 'language = "it"\ncue_notes = 4\nout_dir = "x"\n[[cue]]\nsketch = "a.xml"\n'
    'layout = "Vn I / Vc"\nby = "m3"\ndown = true\n[[cue]]\nsketch = "b.mxl"\n'
    'plan = "harbour-arc"\nparts = "p"\nkeep_sketch = true\n',
}


def rule_files(rng: Random) -> Attempt:
    """Rule files in which signs come, go and are repeated."""
    kind = rng.choice(sorted(RULES))
    text = RULES[kind]
    for _ in range(rng.choice((1, 1, 2, 6))):
        at = rng.randrange(len(text) + 1)
        sign = rng.choice((*SIGNS, rng.choice(NUMBERS)))
        if rng.random() < 0.1:
            sign *= rng.choice((100, 2000))
        text = text[:at] + sign + text[at + rng.choice((0, 0, 1, 3)) :]
    if rng.random() < 0.1:
        text *= rng.choice((2, 300))
    return Attempt(f"{kind} {text!r}", lambda: read_rule(kind, text))


def read_rule(kind: str, text: str) -> list[bytes]:
    """Read a rule file of a kind, for nothing but its faults."""
    forces = load_ensemble("symphonic")
    if kind == "layout":
        layout_from_text(text, "x.toml", forces)
    elif kind == "plan":
        plan_from_text(text, "x.toml", forces, folder=Path("nowhere"))
    elif kind == "project":
        _as_file(text, load_project)
    elif kind == "house":
        _as_file(text, lambda path: load_house(str(path)))
    else:
        ensemble_from_text(text, "x.toml", name="x")
    return []


WORDS = (
    "Vn I", "Vn II", "Vla", "Vc", "Db", "Vns", "half", "third", "solo", "others", "desk 1",
    "desks 1-2", "8va", "loco", "15mb", "octave +2", "octave", "/", "//", "+", '"Vn I"', '"',
    "x", "x.toml", "../x", "four-levels", "9" * 400, " " * 400, "\x1b[2J", "\u202e",
)  # fmt: skip
LIKELY = ("Vn I", "Vn II", "Vla", "Vc", "Db", "half Vn I", "/", "/", "/", "+")


def stacks(rng: Random) -> Attempt:
    """Layouts as somebody may write them: by words, or letter by letter."""
    many = rng.choice((3, 8, 200, 3000))
    words = rng.choice((WORDS, LIKELY))
    text = " ".join(rng.choices(words, k=rng.randint(0, many)))
    if rng.random() < 0.3:
        text = "".join(rng.choices(SIGNS, k=rng.randint(0, many)))
    files = rng.random() < 0.5

    def call() -> list[bytes]:
        resolve_layout(text, load_ensemble("symphonic"), files=files)
        return []

    return Attempt(repr(text), call)


def in_sketches(rng: Random) -> Attempt:
    """Stacks, names and files between square brackets above the tune."""
    some = rng.choices(rng.choice((WORDS, LIKELY)), k=rng.randint(1, 5))
    words = " ".join(some).replace("\x1b", "")
    above = words.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;")
    text = f"<direction-type><words>[{above}]</words></direction-type>"
    text = f"<direction>{text}</direction><note>"
    data = made_up(rng).replace("<note>", text, 1).encode()
    call = lambda: [rewriter.expand(data, tune="P1").score]  # noqa: E731 - one call
    return Attempt(f"{data!r}", call)


POINTS = (
    "start", "end", "1", "2", "4", "24", "36", "A", "B", "bar 3", "mark A", "3(2)", "A(2)",
    "0", "-1", "99", "x", "12a", "9" * 3000, " " * 900, "mark", "bar", "(", "1(", "A()",
)  # fmt: skip


def plans(rng: Random) -> Attempt:
    """Passages between any bars, marks and beats of the demo scores."""
    score = rng.choice(sorted(SCORES.glob("*.musicxml")))
    rows = []
    for _ in range(rng.randint(1, 3)):
        point = [_point(rng), _point(rng)]
        if rng.random() < 0.3:
            rows.append(f'[[passage]]\nbars = "{rng.choice(("-", "")).join(point)}"')
        else:
            rows.append(f'[[passage]]\nfrom = "{point[0]}"\nto = "{point[1]}"')
        if rng.random() < 0.3:
            rows.append(f"pickup = {rng.choice(('0.5', '1', '99', '3.75'))}")
        rows.append(f'stack = "{rng.choice(LAYOUTS[:4])}"')
    text = "\n".join(rows)
    return Attempt(f"{score.name} by {text!r}", lambda: _planned(score, text))


def _point(rng: Random) -> str:
    if rng.random() < 0.6:
        return str(rng.randint(1, 24))
    beat = rng.choice(("", "", "1", "2", "4.5", "5", "9", "0", "0.001", "1e9", "9" * 900))
    return rng.choice(POINTS) + (f" beat {beat}" if beat else "")


def _planned(score: Path, text: str) -> list[bytes]:
    return [_as_file(text, lambda path: rewriter.expand(score, plan=str(path)).score)]


def _as_file(text: str, call: Callable[[Path], T]) -> T:
    """What is made of a text that stands in a file."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "x.toml")
        path.write_text(text, encoding="utf-8")
        return call(path)
