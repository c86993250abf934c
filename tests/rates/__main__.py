"""How often rules speak in good editions: ``python -m tests.rates [RULE ...] [--write]``.

Prints for each rule its findings, and how many in 100 bars, in quartets and, where it is on
this machine, in orchestral music. ``--read 10`` prints as many findings of each, evenly
spread, to be read against the scores. ``--write`` puts the figures into ``rates.json``, where
the page of a rule has them; how many of those read were right is written there by hand.
"""

import argparse
import json
import sys
from functools import partial
from multiprocessing import Pool

from rewriter.checking.rates import FILE
from tests.rates.measuring import ASKED, Heard, bodies, counted, heard, written


def _main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.rates", description=__doc__)
    parser.add_argument("rules", nargs="*", metavar="RULE", help="all that can be, by default")
    parser.add_argument("--read", type=int, default=0, metavar="NUMBER")
    parser.add_argument("--write", action="store_true")
    parser.add_argument("--jobs", type=int, default=2)
    asked = parser.parse_args()
    known = [rule.id for rule in ASKED]
    wanted = asked.rules or known
    if unknown := sorted({*wanted} - {*known}):
        parser.error(f"{', '.join(unknown)}: no such rule about finished scores")
    there = bodies()
    found: dict[str, list[int]] = {rule: [] for rule in wanted}
    lengths = []
    for music in there:
        with Pool(asked.jobs) as pool:
            look = partial(heard, ensemble=music.ensemble, rules=wanted)
            pieces = pool.map(look, music.paths, chunksize=1)
        bars, by_rule = counted(pieces)
        lengths.append((music.name, bars))
        sys.stdout.write(f"{music.name}, {bars:,} bars\n")
        for rule in wanted:
            found[rule].append(by_rule[rule])
            rate = f"{by_rule[rule]:>7}{100 * by_rule[rule] / bars:>8.2f} in 100 bars"
            sys.stdout.write(f"  {rule:<30}{rate}\n")
            _list(pieces, rule, asked.read)
    if asked.write:
        old = json.loads(FILE.read_text(encoding="utf-8"))
        if len(there) < len(old["music"]):
            parser.error("some of the music that was measured is not on this machine")
        FILE.write_text(written(old, lengths, found), encoding="utf-8")


def _list(pieces: list[Heard], rule: str, most: int) -> None:
    every = [(piece, one) for piece in pieces for one in piece.findings if one.rule == rule]
    for piece, one in every[:: max(1, len(every) // most)][:most] if most else ():
        sys.stdout.write(f"      {piece.path.name}: {one.place.text}: {one.text}\n")


if __name__ == "__main__":
    _main()
