"""Where rule files stand: the project's own folder first, then what is shipped."""

import re
import stat
from functools import cache
from pathlib import Path
from typing import Literal, get_args

from rewriter.problems import Refused

Kind = Literal["ensembles", "layouts", "plans", "house"]
KINDS: tuple[Kind, ...] = get_args(Kind)

_NAME = re.compile(r"[^\s/\\.+:][^/\\.+:]{0,99}")
_LONGEST_NAME = 100
_MOST_BYTES = 256 * 2**10
"""The largest rule file that is read; the largest that is shipped has a twentieth of it."""


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

    said = name[:_LONGEST_NAME].lower().replace(" ", "-")
    near = get_close_matches(said, names(kind), n=1, cutoff=0.6)
    return near[0] if near else None


def is_file_name(text: str) -> bool:
    """True when a text names a file, not a rule: it ends in ``.toml``."""
    return text.strip().lower().endswith(".toml")


def path_of_name(kind: Kind, name: str, project: Path | None = None) -> Path | None:
    """The file an exact name means; None for no such name.

    Args:
        kind: which shelf.
        name: of the rule.
        project: whose rules are looked at; None for the current folder's and those shipped.
    """
    if not _NAME.fullmatch(name):
        return None
    places = folders(kind) if project is None else [project / "rules" / kind]
    paths = (folder / f"{name}.toml" for folder in places)
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
        return Path(said), text_of_rule(Path(said))
    path = path_of_name(kind, said)
    if path is None:
        near = nearest_name(kind, said)
        there_are = ", ".join(names(kind)) or "none"
        remedy = f"did you mean {near}?" if near else f"there are {there_are}"
        raise Refused(f'there is no {_ONE_OF[kind]} called "{said}"', remedy)
    return path, text_of_rule(path)


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


def text_of_rule(path: Path) -> str:
    """The text of a file, which comes to an end and is no larger than rules can be.

    Raises:
        Refused: there is no such file, or it is no readable text.
    """
    try:
        kind = path.stat().st_mode
        if stat.S_ISDIR(kind):
            raise Refused("this is a folder", "name the rule file in it", file=str(path))
        if not stat.S_ISREG(kind):
            raise Refused("this is a device, not a file", "name a file", file=str(path))
        with path.open("rb") as file:
            data = file.read(_MOST_BYTES + 1)
        if len(data) > _MOST_BYTES:
            what = f"the file is larger than {_MOST_BYTES >> 10} KB"
            raise Refused(what, "no rule is so long", file=str(path))
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise Refused(
            f"byte {fault.start + 1} is no UTF-8", "save the file as UTF-8 text", file=str(path)
        ) from None
    except (FileNotFoundError, ValueError):  # the second: no file can have such a name
        raise Refused("there is no such file", file=str(path)) from None
    except OSError as fault:
        reason = (fault.strerror or "unreadable").lower()
        raise Refused(f"cannot be read ({reason})", file=str(path)) from None
