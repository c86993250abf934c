"""When a passage is left as it is."""


class NotCertain(Exception):  # noqa: N818 - nothing is wrong with the score
    """Somebody has to decide; raised where that is seen, and told of the passage.

    Attributes:
        why: in a few words.
    """

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.why = why
