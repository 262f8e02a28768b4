"""How Sphinx builds this documentation. Nothing in the built pages loads anything from a network."""

import logging
import sys
from pathlib import Path

import umbo

sys.path.insert(0, str(Path(__file__).parent / "_ext"))

project = "umbo"
author = "The umbo developers"
project_copyright = author
version = release = umbo.__version__

extensions = ["myst_parser", "sphinx.ext.autodoc", "numpydoc", "mathml", "reference"]
exclude_patterns = ["_build", "decisions/0000-template.md"]

# A list of pages that is still empty is no mistake, and this warning cannot be switched off by a setting.
logging.getLogger("sphinx.sphinx.directives.other").addFilter(
    lambda record: "toctree glob pattern" not in str(record.msg)
)

html_theme = "alabaster"
html_title = "umbo"
html_static_path = ["_static"]
html_css_files = ["umbo.css"]
html_math_renderer = "mathml"
html_show_sphinx = False
html_copy_source = False
html_theme_options = {
    "description": "Verify hearing aids: from coupler and ear recordings to the level at the eardrum",
    "fixed_sidebar": True,
    "show_powered_by": False,
    "page_width": "70rem",
}

myst_enable_extensions = ["colon_fence", "deflist", "dollarmath"]
myst_heading_anchors = 3

autodoc_default_options = {"members": True}
autodoc_member_order = "bysource"
autodoc_typehints = "none"
numpydoc_show_class_members = False
