"""``python -m rewriter`` is the command ``rewriter``."""

from rewriter.cli.main import main

main()
