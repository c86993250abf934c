"""Where rule files stand: the project's own folder first, then what is shipped."""

import re
from functools import cache
from pathlib import Path
from typing import Literal, get_args

from rewriter.problems import Refused
from rewriter.rulefiles.stack_text import printable

Kind = Literal["ensembles", "layouts", "plans", "house"]
KINDS: tuple[Kind, ...] = get_args(Kind)

_NAME = re.compile(r"[^\s/\\.+][^/\\.+]*")


@cache
def shipped_folder() -> Path:
    """Folder of the shipped rules: inside the installed package, else beside it."""
    package = Path(__file__).parents[1]
    inside = package / "rules"
    return inside if inside.is_dir() else package.parent / "rules"


def folders(kind: Kind) -> tuple[Path, Path]:
    """Where rules of a kind are looked for, in order; neither need exist."""
    return Path("rules") / kind, shipped_folder() / kind


def names(kind: Kind) -> list[str]:
    """Names of all rules of a kind, project and shipped, sorted, each once."""
    found = {path.stem for folder in folders(kind) for path in folder.glob("*.toml")}
    return sorted(found)


def nearest_name(kind: Kind, name: str) -> str | None:
    """The name of a rule that comes nearest to a misspelt one; None for none near."""
    from difflib import get_close_matches

    near = get_close_matches(name.lower().replace(" ", "-"), names(kind), n=1, cutoff=0.6)
    return near[0] if near else None


def is_file_name(text: str) -> bool:
    """True when a text names a file, not a rule: it ends in ``.toml``."""
    return text.strip().lower().endswith(".toml")


def path_of_name(kind: Kind, name: str) -> Path | None:
    """The file an exact name means; None for no such name."""
    if not _NAME.fullmatch(name):
        return None
    paths = (folder / f"{name}.toml" for folder in folders(kind))
    return next((path for path in paths if path.is_file()), None)


def find_rule(kind: Kind, name_or_path: str) -> tuple[Path, str]:
    """The file a name means, and its text.

    Args:
        kind: which shelf.
        name_or_path: what ends in ``.toml`` is a file, everything else an exact name.

    Raises:
        Refused: there is no such file or name, or the file is no readable text.
    """
    said = name_or_path.strip()
    if is_file_name(said):
        return Path(said), _text_of(Path(said))
    path = path_of_name(kind, said)
    if path is None:
        near = nearest_name(kind, said)
        there_are = ", ".join(names(kind)) or "none"
        remedy = f"did you mean {near}?" if near else f"there are {there_are}"
        raise Refused(f'there is no {_ONE_OF[kind]} called "{printable(said)}"', remedy)
    return path, _text_of(path)


_ONE_OF = {
    "ensembles": "ensemble",
    "layouts": "layout",
    "plans": "plan",
    "house": "set of house rules",
}


def is_shipped(path: Path) -> bool:
    """True when a rule file is one of the tool's own, not the project's."""
    return path.resolve().is_relative_to(shipped_folder().resolve())


def shown(path: Path) -> str:
    """How messages name a rule file: shipped ones by file name, others as they were named."""
    return path.name if is_shipped(path) else str(path)


def _text_of(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise Refused(
            f"byte {fault.start + 1} is no UTF-8", "save the file as UTF-8 text", file=str(path)
        ) from None
    except FileNotFoundError:
        raise Refused("there is no such file", file=str(path)) from None
    except OSError as fault:
        reason = (fault.strerror or "unreadable").lower()
        raise Refused(f"cannot be read ({reason})", file=str(path)) from None
