"""Finds templates/ and samples/ in a checkout and in an installed copy, and the version of either."""

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


def program() -> str:
    """Name and version, as plans and `--version` have them."""
    import tomllib
    from importlib.metadata import PackageNotFoundError, version

    try:
        return f"tautsheet {version('tautsheet')}"
    except PackageNotFoundError:  # a checkout that was never installed
        about = tomllib.loads((HERE.parent / "pyproject.toml").read_text(encoding="utf-8"))
        return f"tautsheet {about['project']['version']}"
