"""Ask 1,309 tunes where their composers put them: ``python -m tests.repertory``.

``--write`` makes ``rules/registers/measured.json`` anew, the table of the measured registers.
"""

import argparse
from collections.abc import Iterator
from pathlib import Path

from rewriter.rulefiles.shelf import shipped_folder
from tests.repertory.asking import (
    WEIGHTS,
    Manners,
    asked,
    chosen_weight,
    measured,
    measured_on_all,
    singing,
)
from tests.repertory.measuring import lines_of_json, measure
from tests.repertory.tunes import TUNES, Tune, composers, read_tunes

HEAD = """\
| how | one section | several sections |
|---|---|---|"""


def main() -> None:
    """Print the table, or write what is shipped."""
    parser = argparse.ArgumentParser(prog="python -m tests.repertory", description=__doc__)
    parser.add_argument("--tunes", type=Path, default=TUNES, help="tunes.jsonl")
    parser.add_argument("--write", action="store_true", help="make the shipped table anew")
    options = parser.parse_args()
    tunes = read_tunes(options.tunes)
    weight = chosen_weight(tunes)
    if options.write:
        path = shipped_folder() / "registers" / "measured.json"
        text = "\n".join(lines_of_json(measure(tunes, weight))) + "\n"
        path.write_text(text, encoding="utf-8")
    chosen = f"weight chosen for each octave from the tune: {weight}"
    said = [chosen] if options.write else [chosen, *table(tunes)]
    print("\n".join(said))  # noqa: T201 - run by hand


def table(tunes: list[Tune]) -> Iterator[str]:
    """Tunes at their pitch / an octave off, for each composer and way of placing."""
    ways: list[tuple[str, Manners]] = [("singing", singing)]
    ways += [(f"measured, less {each}", measured(tunes, each)) for each in WEIGHTS]
    ways += [
        (f"measured on all, less {each}", measured_on_all(tunes, each)) for each in WEIGHTS
    ]
    for name in ("all", *composers(tunes)):
        own = [tune for tune in tunes if name in {"all", tune.composer}]
        single = [tune for tune in own if len(tune.lines) == 1]
        several = [tune for tune in own if len(tune.lines) > 1]
        yield f"\n{name}: {len(single)} tunes of one section, {len(several)} of several\n"
        yield HEAD
        for said, manners in ways:
            cells = (asked(each, manners) for each in (single, several))
            row = " | ".join(f"{c.at_pitch:.2f} / {c.octave_off:.2f}" for c in cells)
            yield f"| {said} | {row} |"


if __name__ == "__main__":
    main()
