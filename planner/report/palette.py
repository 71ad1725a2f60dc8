"""The colours of the page by role, in light, dark and print, and how they must stand out.

Paper and ink are warm; air is a cool blue, cane an amber brown. Colour never speaks alone: each
role that means something also has a shape, a hatch or a word.
"""

LIGHT = {
    "paper": "#faf7f0",
    "raised": "#f3eee3",
    "ink": "#26221c",
    "soft": "#5f564a",
    "hair": "#d8cfbf",
    "rule": "#8c8172",
    "air": "#1f5d75",
    "air-fill": "#cfe0e4",
    "cane": "#82520c",
    "cane-fill": "#ecd6a6",
    "dry": "#a23f18",
    "humid": "#1a665a",
    "warn": "#952f1c",
    "link": "#1f5d75",
}

DARK = {
    "paper": "#1a1815",
    "raised": "#242019",
    "ink": "#ece5d9",
    "soft": "#b9ae9d",
    "hair": "#413a31",
    "rule": "#8a7f70",
    "air": "#86c3da",
    "air-fill": "#24414d",
    "cane": "#e3b765",
    "cane-fill": "#55411a",
    "dry": "#f0986f",
    "humid": "#72ccb6",
    "warn": "#f2a08c",
    "link": "#86c3da",
}

PRINT = {
    "paper": "#ffffff",
    "raised": "#ffffff",
    "ink": "#000000",
    "soft": "#3d3a36",
    "hair": "#b5b0a8",
    "rule": "#6b665e",
    "air": "#17475a",
    "air-fill": "#d5dfe2",
    "cane": "#5c3a08",
    "cane-fill": "#e6dcc6",
    "dry": "#7c2f10",
    "humid": "#124a41",
    "warn": "#7a2413",
    "link": "#000000",
}

# WCAG 2.2: text 4.5 : 1 (1.4.3); lines and marks that carry meaning 3 : 1 (1.4.11).
TEXT = 4.5
MARK = 3.0
PAIRS = (
    *((role, "paper", TEXT) for role in ("ink", "soft", "air", "cane", "dry", "humid", "warn")),
    *((role, "raised", TEXT) for role in ("ink", "soft", "air", "cane", "dry", "humid", "warn")),
    ("link", "paper", TEXT),
    ("link", "raised", TEXT),
    ("ink", "air-fill", TEXT),
    ("ink", "cane-fill", TEXT),
    ("rule", "paper", MARK),
    ("rule", "raised", MARK),
    ("air", "air-fill", MARK),
    ("cane", "cane-fill", MARK),
)


def variables() -> str:
    """Return the style sheet's variables: light, dark where the reader asks for it, and print."""
    return "\n".join(
        (
            f":root {{ color-scheme: light dark; {_listed(LIGHT)} }}",
            f"@media (prefers-color-scheme: dark) {{ :root {{ {_listed(DARK)} }} }}",
            f"@media print {{ :root {{ color-scheme: light; {_listed(PRINT)} }} }}",
        )
    )


def _listed(colours: dict[str, str]) -> str:
    return " ".join(f"--{role}: {colour};" for role, colour in colours.items())
