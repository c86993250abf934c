"""What was found in finished scores, for people or as JSON, as it comes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.cli.streams import complain, say

if TYPE_CHECKING:
    from rewriter.cli.looks import Looked
    from rewriter.reporting.checked import Checked, Flaw, LookedAt, RefusedScore


class Telling:
    """Tells of one score after the other; of JSON, all at the end.

    Attributes:
        status: exit status of the command so far.
    """

    def __init__(self, *, as_json: bool, quiet: bool, number: int) -> None:
        """Begin.

        Args:
            as_json: print JSON instead of text.
            quiet: print nothing but what could not be done.
            number: of scores.
        """
        self._as_json = as_json
        self._quiet = quiet
        self._number = number
        self._findings: list[Flaw] = []
        self._scores: list[LookedAt] = []
        self._refused: list[RefusedScore] = []
        self.status = 0

    def tell(self, looked: Looked) -> None:
        """What became of a score; refusals go to stderr."""
        from rewriter.reporting.checked import LookedAt, RefusedScore

        checked = looked.checked
        if checked is None:
            complain(looked.refusal)
            self.status = 2
            self._refused.append(RefusedScore(score=str(looked.score), message=looked.refusal))
            return
        self.status = max(self.status, int(checked.has_errors))
        if not self._as_json and not self._quiet:
            self._say(checked)
        self._findings += checked.findings if self._as_json else ()
        self._scores.append(
            LookedAt(
                score=checked.score,
                bars=checked.bars,
                taken=checked.taken if self._as_json else (),
                tune=checked.tune,
                known=checked.known,
            )
        )

    def _say(self, checked: Checked) -> None:
        from rewriter.cli.telling import terminal_width
        from rewriter.reporting.checked_text import checked_as_text

        space = "\n" if self._scores else ""
        say(space + checked_as_text(checked, terminal_width()))

    def end(self) -> None:
        """What is said when all scores have been looked at."""
        if self._as_json:
            say(self._json())
        elif self._number > 1 and not self._quiet:
            refused = len(self._refused)
            more = f"; {refused} could not be looked at" if refused else ""
            say(f"\n{len(self._scores)} scores were looked at{more}\n")

    def _json(self) -> str:
        import msgspec

        from rewriter import __version__
        from rewriter.reporting.checked import CheckedFiles

        found = CheckedFiles(
            version=__version__,
            findings=tuple(self._findings),
            scores=tuple(self._scores),
            refused=tuple(self._refused),
        )
        return msgspec.json.format(msgspec.json.encode(found), indent=2).decode() + "\n"
