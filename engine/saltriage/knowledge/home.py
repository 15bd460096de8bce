"""Where the rules, schemas and cases lie: inside the installed package, or in the checkout around it."""

from pathlib import Path

from saltriage.errors import UsageRefused

__all__ = ["data_folder", "is_installed"]

_PACKAGE = Path(__file__).resolve().parent.parent
_SHIPPED = _PACKAGE / "_data"
_CHECKOUT = _PACKAGE.parent.parent


def is_installed() -> bool:
    """True where the data ships inside the package."""
    return _SHIPPED.is_dir()


def data_folder(name: str) -> Path:
    """The folder `rules`, `schemas` or `cases`.

    Raises:
        UsageRefused: neither the package nor a checkout around it has the folder.
    """
    # Path(__file__) answers for every unpacked package; importlib.resources would add 8 ms to each start.
    for home in (_SHIPPED, _CHECKOUT):
        if (home / name).is_dir():
            return home / name
    from importlib.resources import files

    folder = Path(str(files("saltriage") / "_data" / name))
    if folder.is_dir():
        return folder
    raise UsageRefused(
        f"no folder {name} inside the package nor beside it; install the package again, or name a folder"
    )
