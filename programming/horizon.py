"""How far ahead sessions are prescribed."""

import datetime as dt
from typing import Final

PRESCRIBED_AHEAD: Final = dt.timedelta(days=7)
"""What is learned until then would change most of it; and a week is what a calendar shows (ours)."""
