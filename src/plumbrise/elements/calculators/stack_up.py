"""Stack-up: the gap of a chain of dimensions, which part is to blame, and whether a kit fits."""

from __future__ import annotations

from math import inf

from plumbrise.elements import fits, kit_fit, stack_up
from plumbrise.elements.kit_fit import Opening
from plumbrise.elements.stack_up import LAWS, Link
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.errors import InputError
from plumbrise.quantity import percent, rounded

_CP, _GUESS = Trust.COMMON_PRACTICE, Trust.GUESS
_CHAIN, _KIT, _FIT = "A chain of dimensions", "A bought kit", "A hole and its shaft"
_ZONES = tuple((letter, grade) for letter in fits.NEAREST_UM for grade in fits.GRADES_UM)
DRAKE = "P. Drake (ed.), Dimensioning and Tolerancing Handbook, chapter 9"
DRAWS = 100_000
ENOUGH = 0.95
"""Share of sets, and probability of a kit, that are good enough to buy on."""

_PLACE = (
    Asked("name", "its name"),
    Asked("x_mm", "where its middle is, to the right", "mm", low=-5000, high=5000),
    Asked("y_mm", "where its middle is, upwards", "mm", low=-5000, high=5000),
    Asked("width_mm", "its width", "mm", low=0.5, high=500),
    Asked("length_mm", "its length, of a slot, ends included", "mm", low=0.5, high=1000,
          optional=True),
    Asked("angle_deg", "the way a slot runs, from right towards up", "°", 0.0, _CP, low=-360,
          high=360),
)  # fmt: skip

ASKED = (
    Asked("link", "a dimension; its sensitivity is 1 where it opens the gap, -1 where it closes it",
          each=(
              Asked("name", "its name"),
              Asked("nominal_mm", "its size", "mm", low=-1e5, high=1e5),
              Asked("plus_mm", "how much larger it may be", "mm", low=0, high=1000),
              Asked("minus_mm", "how much smaller it may be", "mm", low=0, high=1000),
              Asked("sensitivity", "how far the gap grows for 1 mm more", "", 1.0, _CP, low=-100,
                    high=100),
              Asked("law", "how it scatters", default="normal", trust=_CP, choices=tuple(LAWS)),
          ), group=_CHAIN),
    Asked("least_mm", "the least gap that is wanted", "mm", low=-1000, high=1000, optional=True,
          group=_CHAIN),
    Asked("most_mm", "the largest gap that is wanted", "mm", low=-1000, high=1000, optional=True,
          group=_CHAIN),
    Asked("kit", "an opening of the kit, as measured", each=_PLACE, group=_KIT),
    Asked("there", "the opening that it comes to lie on, in the same order", each=_PLACE,
          group=_KIT),
    Asked("bolt_mm", "thickest thing that goes through", "mm", 5.0, _GUESS, low=0.5, high=100,
          group=_KIT),
    Asked("measured_mm", "how well the places were measured, as standard uncertainty", "mm", 0.05,
          _CP, low=0, high=5, group=_KIT),
    Asked("fit_mm", "nominal size of a hole and the shaft in it", "mm", low=3.001, high=50,
          optional=True, group=_FIT),
    Asked("hole", "tolerance of the hole", "", "H7", _CP,
          choices=tuple(f"{letter.upper()}{grade}" for letter, grade in _ZONES), group=_FIT),
    Asked("shaft", "tolerance of the shaft", "", "h6", _CP,
          choices=tuple(f"{letter}{grade}" for letter, grade in _ZONES), group=_FIT),
    Asked("seed", "where chance begins; another one shows how much it matters", "", 1, _CP, low=0,
          high=1_000_000, whole=True, group=_CHAIN),
)  # fmt: skip


def work(given: Given) -> Worked:
    """The gap at worst and by chance with shares of its scatter, a kit's fit, a shaft's room.

    Raises:
        InputError: none of these given, or a chain or kit that is none.
    """
    parts = [
        reckon(given)
        for asked, reckon in (("link", _chain), ("kit", _kit), ("fit_mm", _fit))
        if given.values[asked]
    ]
    if not parts:
        raise InputError(
            place="link",
            value="nothing",
            allowed="a chain of dimensions, a kit, or a hole and its shaft",
            remedy="Give one of three things: the parts that stand on one another, a line for each "
            "(its name, size and tolerance); or the openings of a kit; or a hole with its shaft.",
        )
    told = (
        "Root sum square holds for parts made apart from one another. Parts of one batch are all "
        "off the same way: then the worst case is nearer the truth.",
    )
    return Worked(
        tuple(one for sums, _ in parts for one in sums),
        tuple(one for _, verdicts in parts for one in verdicts),
        told if given.items("link") else (),
    )


def _links(given: Given) -> list[Link]:
    return [
        Link(
            name=item.word("name"),
            nominal_mm=item.number("nominal_mm"),
            plus_mm=item.number("plus_mm"),
            minus_mm=item.number("minus_mm"),
            sensitivity=item.number("sensitivity"),
            law=item.word("law"),
        )
        for item in given.items("link")
    ]


def _chain(given: Given) -> tuple[tuple[Sum, ...], tuple[Verdict, ...]]:
    import numpy as np

    chain = _links(given)
    least_mm, most_mm = given.known("least_mm"), given.known("most_mm")
    worst, by_chance = stack_up.worst_case(chain), stack_up.root_sum_square(chain)
    drawn = stack_up.monte_carlo(
        chain,
        rng=np.random.default_rng(given.count("seed")),
        draws=DRAWS,
        least_mm=-inf if least_mm is None else least_mm,
        most_mm=inf if most_mm is None else most_mm,
    )
    shares = tuple(
        Sum(f"scatter_{name}_percent", f"share of {name} in the scatter", "c",
            "(s σ)² / Σ (s σ)²", ("link",), 100 * share, "%", 2, "JCGM 100, 5.1.2")
        for name, share in drawn.contributions
    )  # fmt: skip
    limits = () if least_mm is None and most_mm is None else (
        Sum("within_percent", "sets within the limits", "P", f"{DRAWS} sets drawn",
            ("link", "seed", "least_mm", "most_mm"), 100 * drawn.in_limits, "%", 3,
            "JCGM 101, clause 7"),
    )  # fmt: skip
    sums = (
        Sum("middle_mm", "gap in the middle", "g", "Σ s m", ("link",), worst.middle_mm, "mm", 4,
            DRAKE),
        Sum("worst_mm", "either way at worst", "T_wc", "Σ |s| t", ("link",), worst.half_mm, "mm",
            3, DRAKE),
        Sum("chance_mm", "either way by chance, nearly all sets", "T_rss", "√Σ (s t)²", ("link",),
            by_chance.half_mm, "mm", 3, DRAKE),
        *((
            Sum("inflated_mm", "either way by chance, not centred", "T_i", "C_f T_rss",
                ("worst_mm", "chance_mm"), stack_up.inflated(chain).half_mm, "mm", 3, DRAKE),
        ) if len(chain) > 1 else ()),
        Sum("low_mm", "middle 95 % of sets, from", "g_low",
            f"{DRAWS} sets drawn", ("link", "seed"), drawn.low_mm, "mm", 3,
            "JCGM 101, clause 7"),
        Sum("high_mm", "middle 95 % of sets, to", "g_high", f"{DRAWS} sets drawn", ("link", "seed"),
            drawn.high_mm, "mm", 3, "JCGM 101, clause 7"),
        *limits,
        *shares,
    )  # fmt: skip
    blamed, share = drawn.contributions[0]
    verdicts = [
        Verdict(
            f"The gap is {rounded(worst.least_mm, 3)} to {rounded(worst.most_mm, 3)} mm at worst, "
            f"nearly always {rounded(by_chance.least_mm, 3)} to "
            f"{rounded(by_chance.most_mm, 3)} mm."
        )
    ]
    if limits:
        verdicts.append(
            Verdict(
                f"Within the limits: {percent(drawn.in_limits)} of sets.",
                drawn.in_limits >= ENOUGH,
            )
        )
    if share > 0:
        verdicts.append(
            Verdict(f"{blamed} makes {percent(share)} of the scatter: hold it closer first.")
        )
    return sums, tuple(verdicts)


def _openings(given: Given, name: str) -> list[Opening]:
    return [
        Opening(
            name=item.word("name"),
            x_mm=item.number("x_mm"),
            y_mm=item.number("y_mm"),
            width_mm=item.number("width_mm"),
            length_mm=item.known("length_mm"),
            angle_deg=item.number("angle_deg"),
        )
        for item in given.items(name)
    ]


def _kit(given: Given) -> tuple[tuple[Sum, ...], tuple[Verdict, ...]]:
    import numpy as np

    kit, there = _openings(given, "kit"), _openings(given, "there")
    bolt_mm = given.number("bolt_mm")
    found = kit_fit.placed(kit, there, bolt_mm=bolt_mm)
    likely = kit_fit.fit_probability(
        kit,
        there,
        bolt_mm=bolt_mm,
        position_u_mm=given.number("measured_mm"),
        rng=np.random.default_rng(given.count("seed")),
    )
    uses = ("kit", "there", "bolt_mm")
    program = "linear program over shift, turn and room"
    sums = (
        Sum("spare_mm", "room left at the tightest bolt", "m",
            "the greatest m with every bolt inside by m", uses, found.spare_mm, "mm", 3, program),
        Sum("turned_deg", "turned by, where it lies best", "φ", "from the same program", uses,
            found.turn_deg, "°", 2, program),
        Sum("fit_percent", "chance that it goes on", "P", "places drawn anew, 200 times",
            (*uses, "measured_mm", "seed"), 100 * likely, "%", 3, "JCGM 101, clause 7"),
    )  # fmt: skip
    where = " and ".join(found.tight)
    verdict = Verdict(
        f"The kit goes on with {rounded(found.spare_mm, 2)} mm to spare; tightest at {where}. "
        f"As measured: {percent(likely)}."
        if found.fits
        else f"The kit does not go on: {rounded(-found.spare_mm, 2)} mm too little at {where}. "
        f"Chance that it does all the same: {percent(likely)}.",
        likely >= ENOUGH,
        ("measured_mm",),
    )
    return sums, (verdict,)


def _fit(given: Given) -> tuple[tuple[Sum, ...], tuple[Verdict, ...]]:
    size_mm, hole, shaft = given.number("fit_mm"), given.word("hole"), given.word("shaft")
    room = fits.clearance_mm(size_mm=size_mm, hole=hole, shaft=shaft)
    uses = ("fit_mm", "hole", "shaft")
    sums = (
        Sum("least_room_mm", "least room of the shaft", "c_min", "least hole - most shaft", uses,
            room.lower_mm, "mm", 2, "ISO 286-1"),
        Sum("most_room_mm", "most room of the shaft", "c_max", "most hole - least shaft", uses,
            room.upper_mm, "mm", 2, "ISO 286-1"),
    )  # fmt: skip
    words = (
        f"{size_mm:g} {hole}/{shaft}: {rounded(room.lower_mm, 2)} to "
        f"{rounded(room.upper_mm, 2)} mm of room."
    )
    return sums, (Verdict(words),)


CALCULATOR = Calculator(
    kind="stack-up",
    title="Stack-up",
    purpose="The gap a chain of dimensions leaves, which one is to blame, does a kit fit.",
    asked=ASKED,
    work=work,
    example="--link slot:20:0.1:0.1 --link block:19.8:0.05:0.05:-1 --least-mm 0.05",
)
