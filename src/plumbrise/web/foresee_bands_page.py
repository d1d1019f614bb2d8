"""Bands on a print: what fits? For people with no machine described; the address holds what was
typed."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.errors import InputError
from plumbrise.foresee.spacing import what_fits
from plumbrise.web.foresee_asked import LAYER_TIME, LONGEST, SLIDES, SPACING, asked_in, said_at
from plumbrise.web.foresee_said import FitsSaid, fits_said
from plumbrise.web.forms import tidy
from plumbrise.web.pages import page, see

FIELDS = (SPACING, SLIDES["layer"], LAYER_TIME)


def bands(request: Request) -> Response:
    """The sheet: how far bands stand apart, and what leaves such bands."""
    tidied = tidy(request)
    if tidied:
        return see(tidied)
    query = request.query_params
    asked, wrong = asked_in(query)
    fits: FitsSaid | None = None
    if asked.spacing_mm is not None:
        try:
            fits = fits_said(
                what_fits(
                    None,
                    spacing_mm=asked.spacing_mm,
                    layer_mm=asked.job.layer_mm,
                    layer_s=asked.layer_s,
                )
            )
        except InputError as problem:
            wrong[SPACING.name] = said_at(SPACING.title, problem)
    usual = {SLIDES["layer"].name: f"{asked.job.layer_mm:g}"}
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
