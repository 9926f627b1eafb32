"""One table of colours, day and night, for the page and every picture in it."""

DAY = {
    "paper": "#faf7f0", "leaf": "#fffdf8", "ink": "#1b1a17", "soft": "#5d584c",
    "edge": "#857e6e", "rule": "#d8d1c1", "grey": "#b3ab9a", "zone": "#efe8d8",
    "metal": "#f1ece0", "accent": "#2a2fa6", "grip": "#2a2fa6", "ongrip": "#ffffff",
    "screw": "#b24007", "case": "#08756a", "closure": "#5f1a55", "plug": "#4d3d0a",
    "port": "#4d3d0a", "seal": "#0f4a73", "insulation": "#0f4a73", "prove": "#08756a",
}  # fmt: skip
NIGHT = {
    "paper": "#101110", "leaf": "#181917", "ink": "#ece7da", "soft": "#aaa494",
    "edge": "#7d786b", "rule": "#34332e", "grey": "#5a574e", "zone": "#24231d",
    "metal": "#1b1b18", "accent": "#c0bdff", "grip": "#5a58c8", "ongrip": "#ffffff",
    "screw": "#f59a6c", "case": "#7fdcc0", "closure": "#e56fae", "plug": "#d8bd3c",
    "port": "#d8bd3c", "seal": "#3fa9ea", "insulation": "#3fa9ea", "prove": "#7fdcc0",
}  # fmt: skip


def css() -> str:
    """The colours as CSS variables; the night's apply under data-theme="night"."""
    day, night = (
        "".join(f"--{name}:{colour};" for name, colour in table.items()) for table in (DAY, NIGHT)
    )
    return f":root{{{day}}}\n:root[data-theme=night]{{{night}}}"
