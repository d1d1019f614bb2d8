"""Bands on a print: what fits? For people with no machine described; the address holds what was
typed."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.foresee import Print
from plumbrise.foresee.spacing import what_fits
from plumbrise.web.foresee_asked import LAYER_TIME, LONGEST, SLIDES, SPACING, numbers_in
from plumbrise.web.foresee_said import FitsSaid, fits_said
from plumbrise.web.forms import tidy
from plumbrise.web.pages import page, see

LAYER = SLIDES["layer"]
FIELDS = (SPACING, LAYER, LAYER_TIME)


def bands(request: Request) -> Response:
    """The sheet: how far bands stand apart, and what leaves such bands."""
    tidied = tidy(request)
    if tidied:
        return see(tidied)
    query = request.query_params
    numbers, wrong = numbers_in(query, FIELDS)
    spacing, layer_mm = numbers.get(SPACING.name), numbers.get(LAYER.name, Print().layer_mm)
    fits: FitsSaid | None = None
    if spacing is not None:
        layer_s = numbers.get(LAYER_TIME.name)
        fits = fits_said(what_fits(None, spacing_mm=spacing, layer_mm=layer_mm, layer_s=layer_s))
    usual = {LAYER.name: f"{layer_mm:g}"}
    return page(
        request,
        "foresee_bands.html",
        status=422 if wrong else 200,
        fields=FIELDS,
        typed={o.name: query.get(o.name, "")[:LONGEST] or usual.get(o.name, "") for o in FIELDS},
        wrong=wrong,
        fits=fits,
    )


ROUTES: list[BaseRoute] = [Route("/bands", bands, methods=["GET"])]
