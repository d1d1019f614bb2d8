"""Chains of dimensions: the gap they leave, how far it can be off, and which part is to blame."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf, sqrt
from typing import TYPE_CHECKING

from plumbrise.elements.ranges import between, not_below_zero, one_of
from plumbrise.errors import InputError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FEWEST_DRAWS = 1000
"""With fewer a 95 % limit is a guess."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One dimension of a chain.

    It may be larger than nominal by `plus_mm` and smaller by `minus_mm`, both given without sign.
    `sensitivity` is how far the gap grows when it grows by 1: 1 where it opens the gap, -1 where
    it closes it, anything between where it stands at an angle. `law` is how it scatters within
    its tolerance, a word of `LAWS`.
    """

    name: str
    nominal_mm: float
    plus_mm: float
    minus_mm: float
    sensitivity: float = 1.0
    law: str = "normal"

    @property
    def middle_mm(self) -> float:
        """Middle of the tolerance, where the dimension is put for all that follows."""
        return self.nominal_mm + (self.plus_mm - self.minus_mm) / 2

    @property
    def half_mm(self) -> float:
        """Half the width of the tolerance."""
        return (self.plus_mm + self.minus_mm) / 2


@dataclass(frozen=True, slots=True)
class Gap:
    """What a chain leaves: `middle_mm` ± `half_mm`."""

    middle_mm: float
    half_mm: float

    @property
    def least_mm(self) -> float:
        """The smallest gap."""
        return self.middle_mm - self.half_mm

    @property
    def most_mm(self) -> float:
        """The largest gap."""
        return self.middle_mm + self.half_mm


@dataclass(frozen=True, slots=True)
class Simulated:
    """A chain put together many times by chance.

    `low_mm` to `high_mm` holds the asked part of all sets. `in_limits` is the share of sets within
    the limits asked for, and `in_limits_u` its standard uncertainty from the number of draws.
    `contributions` are the links' shares of the scatter by name, largest first.
    """

    mean_mm: float
    sd_mm: float
    low_mm: float
    high_mm: float
    in_limits: float
    in_limits_u: float
    contributions: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Law:
    """How a dimension scatters: its standard deviation as a part of the half tolerance, a draw
    between -1 and 1 of it, and when to take it."""

    sd_share: float
    draw: Callable[[np.random.Generator, int], NDArray[np.float64]]
    words: str


def _normal(rng: np.random.Generator, draws: int) -> NDArray[np.float64]:
    return rng.normal(0.0, 1 / 3, draws)


def _rectangular(rng: np.random.Generator, draws: int) -> NDArray[np.float64]:
    return rng.uniform(-1.0, 1.0, draws)


def _triangular(rng: np.random.Generator, draws: int) -> NDArray[np.float64]:
    return rng.triangular(-1.0, 0.0, 1.0, draws)


LAWS = {
    "normal": Law(1 / 3, _normal, "a made part of a process in hand: 99.7 % within tolerance"),
    "rectangular": Law(1 / sqrt(3), _rectangular, "only the limits are known: anything within"),
    "triangular": Law(1 / sqrt(6), _triangular, "rather near the middle"),
}
"""Word -> law (JCGM 100, 4.3.7 and 4.3.9; three standard deviations is the trade's own habit)."""


def worst_case(chain: Sequence[Link]) -> Gap:
    """The gap when every dimension lies at its worst limit.

        middle = Σ s_i m_i        ± Σ |s_i| t_i

    Raises:
        InputError: no links, two of one name, or a link that is none.

    Source:
        Shigley's Mechanical Engineering Design, example 1-7; P. Drake (ed.), Dimensioning and
        Tolerancing Handbook, chapter 9.

    Example:
        >>> found = worst_case([
        ...     Link(name="slot", nominal_mm=20.0, plus_mm=0.1, minus_mm=0.1),
        ...     Link(name="block", nominal_mm=19.8, plus_mm=0.05, minus_mm=0.05, sensitivity=-1)])
        >>> round(found.least_mm, 3), round(found.most_mm, 3)
        (0.05, 0.35)
    """
    _check(chain)
    return Gap(_middle_mm(chain), sum(abs(link.sensitivity) * link.half_mm for link in chain))


def root_sum_square(chain: Sequence[Link]) -> Gap:
    """The gap of nearly all sets, dimensions off by chance and apart from one another.

        middle = Σ s_i m_i        ± sqrt( Σ (s_i t_i)² )

    It holds for made parts, three standard deviations within each tolerance and centred in it.
    Parts from one batch are all off the same way, and then it promises too much.

    Raises:
        InputError: no links, two of one name, or a link that is none.

    Source:
        P. Drake (ed.), Dimensioning and Tolerancing Handbook, chapter 9.
    """
    _check(chain)
    return Gap(
        _middle_mm(chain), sqrt(sum((link.sensitivity * link.half_mm) ** 2 for link in chain))
    )


def inflated(chain: Sequence[Link]) -> Gap:
    """Root sum square, widened for dimensions that are not centred.

        ± C_f T_rss        C_f = ½ (T_wc - T_rss) / (T_rss (√n - 1)) + 1

    With two links that comes out wider than the worst case; no gap is, so it ends there.

    Raises:
        InputError: fewer than two links, two of one name, or a link that is none.

    Source:
        P. Drake (ed.), Dimensioning and Tolerancing Handbook, chapter 9.
    """
    worst, by_chance = worst_case(chain), root_sum_square(chain)
    if len(chain) < 2:
        raise InputError(
            place="chain", value=len(chain), allowed="two links or more", remedy="List all parts."
        )
    if by_chance.half_mm == 0:
        return by_chance
    excess = worst.half_mm / by_chance.half_mm - 1
    factor = 0.5 * excess / (sqrt(len(chain)) - 1) + 1
    return Gap(by_chance.middle_mm, min(worst.half_mm, factor * by_chance.half_mm))


def contributions(chain: Sequence[Link]) -> tuple[tuple[str, float], ...]:
    """Each link's share of the scatter of the gap, largest first: where a closer fit pays.

        c_i = (s_i σ_i)² / Σ (s_j σ_j)²

    Raises:
        InputError: no links, two of one name, or a link that is none.

    Source:
        JCGM 100:2008, 5.1.2: variances of independent parts add.

    Example:
        >>> two = [Link(name="a", nominal_mm=9, plus_mm=0.2, minus_mm=0.2),
        ...        Link(name="b", nominal_mm=9, plus_mm=0.1, minus_mm=0.1)]
        >>> [(name, round(share, 3)) for name, share in contributions(two)]
        [('a', 0.8), ('b', 0.2)]
    """
    _check(chain)
    variances = {
        link.name: (link.sensitivity * link.half_mm * LAWS[link.law].sd_share) ** 2
        for link in chain
    }
    total = sum(variances.values())
    shares = ((name, part / total if total > 0 else 0.0) for name, part in variances.items())
    return tuple(sorted(shares, key=lambda share: -share[1]))


def monte_carlo(
    chain: Sequence[Link],
    *,
    rng: np.random.Generator,
    draws: int = 100_000,
    level: float = 0.95,
    least_mm: float = -inf,
    most_mm: float = inf,
) -> Simulated:
    """The gap of many sets whose dimensions are drawn by chance, each by its own law.

    Args:
        chain: the links.
        rng: where chance comes from; the same seed gives the same answer.
        draws: how many sets.
        level: part of the sets that `low_mm` to `high_mm` is to hold, the ends cut off alike.
        least_mm, most_mm: the gap that is wanted.

    Raises:
        InputError: a chain that is none, too few draws, a level outside 0.5 to 0.9999, limits the
            wrong way round.

    Source:
        JCGM 101:2008, clause 7.

    Example:
        >>> import numpy as np
        >>> four = [Link(name=str(i), nominal_mm=0, plus_mm=1, minus_mm=1, law="rectangular")
        ...         for i in range(4)]
        >>> found = monte_carlo(four, rng=np.random.default_rng(1))
        >>> round(found.sd_mm, 1), [round(share, 2) for _, share in found.contributions]
        (1.2, [0.25, 0.25, 0.25, 0.25])
    """
    import numpy as np

    _check(chain)
    between(FEWEST_DRAWS, 10_000_000, "Take 100000.", draws=draws)
    between(0.5, 0.9999, "Take 0.95.", level=level)
    if not least_mm <= most_mm:
        raise InputError(
            place="least_mm",
            value=least_mm,
            allowed=f"up to the most, {most_mm:g} mm,",
            remedy="Exchange the two limits.",
        )
    gaps = np.full(draws, _middle_mm(chain))
    for link in chain:
        gaps += link.sensitivity * link.half_mm * LAWS[link.law].draw(rng, draws)
    low, high = np.quantile(gaps, [(1 - level) / 2, (1 + level) / 2])
    within = int(np.count_nonzero((gaps >= least_mm) & (gaps <= most_mm)))
    # one success and one failure more: no share is ever certain after finitely many draws
    share = (within + 1) / (draws + 2)
    return Simulated(
        mean_mm=float(gaps.mean()),
        sd_mm=float(gaps.std(ddof=1)),
        low_mm=float(low),
        high_mm=float(high),
        in_limits=within / draws,
        in_limits_u=sqrt(share * (1 - share) / draws),
        contributions=contributions(chain),
    )


def _middle_mm(chain: Sequence[Link]) -> float:
    return sum(link.sensitivity * link.middle_mm for link in chain)


def _check(chain: Sequence[Link]) -> None:
    if not chain or len({link.name for link in chain}) < len(chain):
        raise InputError(
            place="chain",
            value=", ".join(link.name for link in chain),
            allowed="one link or more, each with a name of its own,",
            remedy="Name each dimension once.",
        )
    for link in chain:
        try:
            between(-1e6, 1e6, nominal_mm=link.nominal_mm, sensitivity=link.sensitivity)
            not_below_zero(
                "Give the tolerance without a sign.", plus_mm=link.plus_mm, minus_mm=link.minus_mm
            )
            one_of(LAWS, law=link.law)
        except InputError as problem:
            raise problem.within(link.name) from None
