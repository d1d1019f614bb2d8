"""How the manual is built: nothing is fetched, neither when building nor when reading."""

from docutils import nodes
from latex2mathml.converter import convert
from sphinx.application import Sphinx

import plumbrise

project = "Plumbrise"
author = "the Plumbrise contributors"
release = version = plumbrise.__version__
extensions = ["myst_parser"]
myst_enable_extensions = ["dollarmath"]
myst_heading_anchors = 3
exclude_patterns = ["_build"]
html_theme = "furo"
html_title = "Plumbrise"
html_copy_source = False
html_show_sourcelink = False
html_static_path = ["static"]
html_css_files = ["manual.css"]
html_math_renderer = "mathml"


def _inline(translator, node: nodes.math) -> None:
    translator.body.append(convert(node.astext()))
    raise nodes.SkipNode


def _block(translator, node: nodes.math_block) -> None:
    translator.body.append(f'<div class="math">{convert(node.astext(), display="block")}</div>')
    raise nodes.SkipNode


def setup(app: Sphinx) -> None:
    """Formulas become MathML, which browsers draw by themselves."""
    app.add_html_math_renderer("mathml", (_inline, None), (_block, None))
