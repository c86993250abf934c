"""Numbers out of files: plain decimals of limited length, and nothing else Python would take.

``int`` and ``float`` also read ``1_000``, ``nan``, ``1e99999999`` and figures of other scripts,
and stumble over five thousand digits; none of these is music.
"""

import re
from fractions import Fraction
from typing import Final

_WHOLE: Final = re.compile(r"[+-]?[0-9]{1,12}", re.ASCII)
_DECIMAL: Final = re.compile(r"[+-]?(?=\.?[0-9])[0-9]{0,12}(?:\.[0-9]{0,12})?", re.ASCII)
_LAST: Final = 10**12  # behind every number that is a name


def whole(text: str) -> int | None:
    """A whole number of at most twelve digits; None for anything else.

    >>> whole(" -3 "), whole("1e9"), whole("1_0"), whole("9" * 13), whole("\u0664")
    (-3, None, None, None, None)
    """
    said = text.strip()
    return int(said) if _WHOLE.fullmatch(said) else None


def decimal(text: str) -> Fraction | None:
    """A decimal as XML Schema writes it, exactly, twelve digits on either side at the most.

    >>> decimal("-1.5"), decimal(".5"), decimal("1e9"), decimal("nan"), decimal("")
    (Fraction(-3, 2), Fraction(1, 2), None, None, None)
    """
    said = text.strip()
    return Fraction(said) if _DECIMAL.fullmatch(said) else None


def in_number_order(name: str) -> tuple[int, str]:
    """What names are sorted by: numbers by their size, all others behind them.

    >>> sorted(["10", "2", "b", "1"], key=in_number_order)
    ['1', '2', '10', 'b']
    """
    number = whole(name)
    return (_LAST if number is None else number, name)
