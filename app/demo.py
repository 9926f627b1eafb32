"""The designs that ship with the program."""

from importlib import resources
from pathlib import Path


def demo(name: str = "tidewater") -> Path:
    """File of a shipped design."""
    return Path(str(resources.files("demo_data").joinpath(f"{name}.toml")))
