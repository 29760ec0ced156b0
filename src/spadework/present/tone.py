"""Colours, hatches and type of everything that Spadework shows.

Earth tones and one accent, a deep blue that stays apart from brown for eyes that do not tell red from green.  Each tone
of the ground is paired with a hatch, so that a grey print says the same as a colour screen.
"""

from __future__ import annotations

__all__ = [
    "ACCENT",
    "ACCENT_PALE",
    "BODY",
    "FONTS",
    "HEADING",
    "INK",
    "LOOSENED",
    "LOOSENED_LINE",
    "PAPER",
    "PART_TONES",
    "QUIET",
    "RULE",
    "SEED",
    "SLURRY",
    "SLURRY_PALE",
    "SMALL",
    "STRAW",
    "STRAW_DARK",
    "UNDISTURBED",
    "WARNING",
    "chart_config",
    "css_variables",
    "ink_on",
]

PAPER = "#fffdf8"
INK = "#2b2620"
QUIET = "#5c5348"
RULE = "#b9ad9c"
UNDISTURBED = "#eee4d3"
LOOSENED = "#d2b992"
LOOSENED_LINE = "#8f7550"
SLURRY = "#43352b"
SLURRY_PALE = "#8d7a68"
STRAW = "#c2912a"
STRAW_DARK = "#7d5c14"
SEED = "#ffdf80"
ACCENT = "#1d5c87"
ACCENT_PALE = "#bcd3e3"
WARNING = "#7a2e12"

#: Tones of parts in a stack.  Neighbours differ strongly in grey, so that their border stays visible in print.
PART_TONES = ("#6b4a2b", "#d9bf8f", "#8a6433", "#efe3cc", "#43352b", "#b99a6b", "#1d5c87", "#bcd3e3", "#5a6b3a")

#: Font families for drawings and charts; the first comes with the chart renderer, the last is always there.
FONTS = "Liberation Sans, DejaVu Sans, Arial, Helvetica, sans-serif"

# Sizes of type in a drawing 800 units wide: SMALL is 8.5 points when the drawing is printed 16 cm wide.
SMALL = 15.0
BODY = 17.0
HEADING = 22.0


def ink_on(tone: str) -> str:
    """Return the colour of type, dark or paper, that reads better on a tone.

    Parameters
    ----------
    tone : str
        Six hexadecimal digits behind ``#``.

    Examples
    --------
    >>> ink_on("#ffffff") == INK, ink_on("#000000") == PAPER
    (True, True)
    """
    red, green, blue = (int(tone[place : place + 2], 16) for place in (1, 3, 5))
    # The eye weighs green most and blue least; thirds and tenths are enough to choose between dark and light.
    return INK if 3 * red + 6 * green + blue > 10 * 128 else PAPER


def css_variables() -> str:
    """Return the palette and the type as CSS custom properties, for the head of an HTML page.

    Examples
    --------
    >>> css_variables().splitlines()[1]
    '  --paper: #fffdf8;'
    """
    properties = {
        "paper": PAPER,
        "ink": INK,
        "quiet": QUIET,
        "rule": RULE,
        "undisturbed": UNDISTURBED,
        "loosened": LOOSENED,
        "loosened-line": LOOSENED_LINE,
        "slurry": SLURRY,
        "slurry-pale": SLURRY_PALE,
        "straw": STRAW,
        "straw-dark": STRAW_DARK,
        "seed": SEED,
        "accent": ACCENT,
        "accent-pale": ACCENT_PALE,
        "warning": WARNING,
        "fonts": f"system-ui, {FONTS}",
        "small": "0.95rem",
        "body": "1.0625rem",
        "heading": "1.5rem",
        "touch": "2.75rem",
    }
    return ":root {\n" + "".join(f"  --{name}: {value};\n" for name, value in properties.items()) + "}\n"


def chart_config() -> dict[str, object]:
    """Return the look of all charts as a Vega-Lite configuration.

    Examples
    --------
    >>> chart_config()["background"] == PAPER
    True
    """
    return {
        "background": PAPER,
        "font": FONTS,
        "padding": 10,
        "view": {"stroke": None},
        "title": {
            "anchor": "start",
            "frame": "bounds",
            "color": INK,
            "fontSize": 17,
            "fontWeight": "bold",
            "subtitleColor": QUIET,
            "subtitleFontSize": 13,
            "subtitlePadding": 5,
            "offset": 14,
        },
        "axis": {
            "labelColor": INK,
            "labelFontSize": 13,
            "titleColor": INK,
            "titleFontSize": 13,
            "titleFontWeight": "normal",
            "titlePadding": 8,
            "domainColor": QUIET,
            "tickColor": QUIET,
            "gridColor": "#e3dacb",
        },
        "legend": {"labelColor": INK, "labelFontSize": 13, "titleColor": INK, "titleFontSize": 13, "symbolSize": 160},
        "text": {"color": INK, "fontSize": 13},
    }
