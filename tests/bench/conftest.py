"""Nothing in this folder is a test: it measures, and clocks do not pass or fail."""

collect_ignore_glob = ["*"]
