"""Finds templates/ and samples/ in a checkout and in an installed copy."""

from pathlib import Path

HERE = Path(__file__).resolve().parent


def folder(name: str) -> Path:
    """The folder "templates" or "samples".

    >>> folder("templates").is_dir()
    True
    """
    inside = HERE / name
    return inside if inside.is_dir() else HERE.parent / name


def template(name: str) -> Path:
    """A template by its name without the ending, e.g. "joint card"."""
    return folder("templates") / f"{name}.xlsx"
