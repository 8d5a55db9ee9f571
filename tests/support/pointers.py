"""Names in the JSON pointers that tests expect, so that no pointer reads like a path of a file system."""

from typing import Final

WORK: Final = "work"
"""Where the work items of a block, an override or totals stand."""
