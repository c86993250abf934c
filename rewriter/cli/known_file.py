"""``--accept``: findings that are known, as a file; later runs tell only what is new."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import msgspec

from rewriter.musicxml.together import Together, cannot_write
from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path


class KnownFile(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Findings that are known.

    Attributes:
        format: tells it from other files; its number rises when a field changes its meaning.
        scores: by the name of the file, without its folder: what findings are known again by,
            with how many there are of each.
    """

    format: Literal["rewriter known findings 1"]
    scores: dict[str, dict[str, int]]


def read_known(file: Path) -> dict[str, dict[str, int]] | None:
    """Findings that are known, by the name of the score; None where there is no file yet.

    Args:
        file: as it was named.

    Raises:
        Refused: it is something else.
    """
    try:
        data = file.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as fault:
        raise Refused(str(fault.strerror or fault), "name another", file=str(file)) from None
    try:
        return msgspec.json.decode(data, type=KnownFile).scores
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        raise Refused(
            "this is no list of known findings",
            "name another file with --accept",
            file=str(file),
        ) from None


def write_known(file: Path, scores: Mapping[str, Mapping[str, int]]) -> None:
    """Write down what is known from now on.

    Args:
        file: not there yet, or written by this.
        scores: by the name of the score.

    Raises:
        Refused: it cannot be written.
    """
    known = KnownFile(
        format="rewriter known findings 1",
        scores={name: dict(signs) for name, signs in sorted(scores.items())},
    )
    data = msgspec.json.format(msgspec.json.encode(known), indent=2) + b"\n"
    try:
        with Together([file.parent]) as together:
            together.put_in_place([together.run.stage(data, file)])
    except OSError as fault:
        raise cannot_write(fault).within(str(file)) from None
