"""Words for ways of playing that stay in force until others of their family."""

from __future__ import annotations

import re
from typing import Final

TECHNIQUES: Final = (
    ("bow", re.compile(r"pizz(\.|icato)|arco|col legno", re.IGNORECASE)),
    ("mute", re.compile(r"con sord|senza sord|via sord|mit d[äa]mpfer|ohne d[äa]mpfer|"
                        r"avec sourd|sans sourd|muted|mute off|open", re.IGNORECASE)),
    ("place", re.compile(r"sul (pont|tasto)|am steg|am griffbrett|sur la touche|au chevalet|"
                         r"\bord\.|ordinario|naturale|\bnat\.", re.IGNORECASE)),
)  # fmt: skip
"""Each family and the words for it, in four languages."""

DEFAULTS: Final = re.compile(
    r"^(arco|senza sord|via sord|ohne d|sans sourd|mute off|open|ord|naturale|nat)",
    re.IGNORECASE,
)
"""Techniques that only end another: nobody has to be told of them on entering."""
