class DemoError(Exception):
    """Something in the demo is not as it must be; the message is for the person at the screen."""


def expect(holds: bool, what: str) -> None:
    """Raise DemoError unless it holds; `what` says what should have been."""
    if not holds:
        raise DemoError(f"expected: {what}")
