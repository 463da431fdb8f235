"""How a number of a call is written. Pure."""


def figure(value: float) -> str:
    """Write a number without a needless point."""
    return f"{value:g}"
