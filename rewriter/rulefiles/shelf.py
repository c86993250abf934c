"""Where rule files stand: the project's own folder first, then what is shipped."""

import re
import stat
from collections.abc import Collection
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


def beside(text: str, folder: Path) -> str:
    """What a rule file names, from that file's folder where it is there; else as written."""
    if not is_file_name(text):
        return text
    path = folder / text.strip()
    return str(path) if path.is_file() else text


def path_of_name(
    kind: Kind, name: str, project: Path | None = None, besides: Collection[Path] = ()
) -> Path | None:
    """The file an exact name means; None for no such name.

    Args:
        kind: which shelf.
        name: of the rule, without ``.toml``.
        project: whose rules are looked at; None for the current folder's and those shipped.
        besides: files that are not meant, resolved.
    """
    if not _NAME.fullmatch(name):
        return None
    places = folders(kind) if project is None else [project / "rules" / kind]
    paths = (folder / f"{name}.toml" for folder in places)
    return next((p for p in paths if p.is_file() and p.resolve() not in besides), None)


def find_rule(
    kind: Kind, name_or_path: str, besides: Collection[Path] = ()
) -> tuple[Path, str]:
    """The file a name means, and its text.

    Args:
        kind: which shelf.
        name_or_path: what ends in ``.toml`` is a file, everything else an exact name.
        besides: files that no name means, resolved.

    Raises:
        Refused: there is no such file or name, or the file is no readable text.
    """
    said = name_or_path.strip()
    if is_file_name(said):
        return Path(said), text_of_rule(Path(said), kind)
    path = path_of_name(kind, said, besides=besides)
    if path is None:
        raise of_another_kind(kind, said) or Refused(
            f'there is no {ONE_OF[kind]} called "{said}"', _remedy(kind, said)
        )
    return path, text_of_rule(path, kind)


ONE_OF: dict[Kind, str] = {
    "ensembles": "ensemble",
    "layouts": "layout",
    "plans": "plan",
    "house": "house file",
}


def of_another_kind(kind: Kind, name: str) -> Refused | None:
    """What to say of a name that is a rule, but of another kind; None where it is none."""
    for other in KINDS:
        if other not in {kind, "house"} and path_of_name(other, name):
            return mistaken(f'"{name}"', ONE_OF[other], ONE_OF[kind])
    return None


def mistaken(what: str, it_is: str, it_is_not: str) -> Refused:
    """A rule of one kind where one of another is wanted, with the option it belongs to."""
    one, other = (
        f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}" for kind in (it_is, it_is_not)
    )
    option = it_is.removesuffix(" file")
    return Refused(f"{what} is {one}, not {other}", f"name it with --{option}")


def _remedy(kind: Kind, name: str) -> str:
    if kind == "plans" and set("/+") & set(name):
        return "name a stack with --layout"
    if file := file_meant(name):
        return f"did you mean the file {file}?"
    near = nearest_name(kind, name)
    return f"did you mean {near}?" if near else f"there are {', '.join(names(kind)) or 'none'}"


def file_meant(name: str) -> str:
    """The file that a name means if ``.toml`` is put behind it; empty for none."""
    file = f"{name}.toml"
    return file if len(file) <= _LONGEST_NAME and _is_file(Path(file)) else ""


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # no file can have such a name
        return False


def is_shipped(path: Path) -> bool:
    """True when a rule file is one of the tool's own, not the project's."""
    return path.resolve().is_relative_to(shipped_folder().resolve())


def shown(path: Path) -> str:
    """How messages name a rule file: shipped ones by file name, others as they were named."""
    return path.name if is_shipped(path) else str(path)


def text_of_rule(path: Path, of: Kind | None = None) -> str:
    """The text of a file, which comes to an end and is no larger than rules can be.

    Args:
        path: of the file.
        of: its kind, for a better message where it is not there; None for no matter.

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
        raise Refused("there is no such file", _nearby(path, of), file=str(path)) from None
    except OSError as fault:
        reason = (fault.strerror or "unreadable").lower()
        raise Refused(f"cannot be read ({reason})", file=str(path)) from None


def _nearby(path: Path, kind: Kind | None) -> str:
    """What was probably meant by the name of a file that is not there; empty for no idea."""
    from difflib import get_close_matches

    with_more = path.with_name(f"{path.name}.txt")  # as some editors save it
    if _is_file(with_more):
        return f'"{with_more.name}" is there: take ".txt" off its name'
    if kind and path_of_name(kind, path.stem):
        return f"did you mean {path.stem}, without .toml?"
    if len(path.name) > _LONGEST_NAME or not path.parent.is_dir():
        return ""
    beside = sorted(one.stem for one in path.parent.glob("*.toml"))
    near = get_close_matches(path.stem, beside, n=1)
    return f"did you mean {path.with_name(near[0])}.toml?" if near else ""
