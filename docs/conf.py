"""Sphinx configuration; the pages build without a network."""

import sys
from pathlib import Path

from spadework import __version__

sys.path.insert(0, str(Path(__file__).parent / "_ext"))

project = "Spadework"
copyright = "2026, the Spadework developers"  # noqa: A001 (the name that Sphinx reads)
release = __version__
extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "sphinx.ext.autosummary",
    "numpydoc",
    "from_the_code",
    "from_the_sheets",
]
source_suffix = {".md": "markdown", ".rst": "restructuredtext"}
exclude_patterns = ["_build", "_ext", "_templates"]
templates_path = ["_templates"]
html_theme = "alabaster"
html_theme_options = {
    "description": "field comparisons of maize on slurry",
    "fixed_sidebar": True,
    "page_width": "1100px",
    "show_powered_by": False,
}
html_sidebars = {"**": ["about.html", "navigation.html", "searchbox.html"]}
myst_enable_extensions = ["deflist"]
myst_heading_anchors = 3
autosummary_generate = True
autodoc_member_order = "bysource"
autodoc_typehints = "none"
numpydoc_show_class_members = False
html_show_sphinx = False
smartquotes = False  # quotes in the tables are part of what is typed
nitpicky = False
