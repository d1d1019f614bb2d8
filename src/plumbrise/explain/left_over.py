"""What no cause explains: how much is left over, and in what shape."""

from __future__ import annotations

import numpy as np

from plumbrise.explain.noise import first_level
from plumbrise.explain.results import RunFit, Unexplained
from plumbrise.explain.search import Found, rest_of
from plumbrise.explain.witness import set_aside, with_noise

UNEXPLAINED_RATIO = 1.5


def left_over(found: Found) -> tuple[tuple[RunFit, ...], Unexplained]:
    """Read beside computed for every run, and what no cause explains: more than gauge, hand and a
    model that errs by its usual share would leave."""
    seen, mode = found.model.witness, found.nodes[0].mode
    computed, _, rest = rest_of(found.model, mode, mode.linear)
    out_of = set_aside(seen)
    fits, worst, worst_size = [], "", 0.0
    left, expected, counted = 0.0, 0.0, 0
    before = with_noise(seen, first_level(seen.resolution_mm), seen.misread_mm)
    for part, (bound, noise, plain) in enumerate(
        zip(seen.bounds, seen.noise, before.noise, strict=True)
    ):
        run = seen.run(part)
        good = ~out_of[bound]
        weight = np.where(good, 1.0, 0.0)
        weight = np.where((seen.misread_mm[bound] > 0) & good, 0.3, weight)
        zero = float(np.average(rest[bound], weights=np.maximum(weight, 1e-9)))
        off = rest[bound] - zero
        start = float(computed[bound][0])
        sd = np.sqrt(np.maximum(noise.sd**2 - seen.misread_mm[bound] ** 2, 0.0))
        hoped = np.sqrt(np.maximum(plain.sd**2 - seen.misread_mm[bound] ** 2, 0.0))
        fits.append(
            RunFit(
                run.name,
                run.station.id,
                tuple(float(x) for x in computed[bound] + off - start),
                tuple(float(x) for x in computed[bound] - start),
                tuple(float(x) for x in sd),
                tuple(float(x) for x in weight),
                tuple(int(i) for i in seen.session.reading[seen.rows[bound]]),
            )
        )
        use = weight == 1.0
        if run.station.id.startswith("frame"):
            continue
        left += float(np.sum(off[use] ** 2))
        expected += float(np.sum(hoped[use] ** 2))
        counted += int(use.sum())
        size = float(np.sqrt(np.mean(off[use] ** 2))) if use.any() else 0.0
        typical = float(np.sqrt(np.mean(hoped[use] ** 2))) if use.any() else 1.0
        if size / typical > worst_size:
            worst_size = size / typical
            place = int(np.argmax(np.abs(off) * use))
            told = seen.session.told_mm[seen.rows[bound]][place]
            worst = f"{run.name}, at {told:g} mm: {off[place]:+.3f} mm"
    rms = float(np.sqrt(left / max(counted, 1)))
    aim = float(np.sqrt(expected / max(counted, 1)))
    verdict = "none" if rms <= UNEXPLAINED_RATIO * aim and worst_size < 2.2 else "some"
    if seen.count < 12:
        verdict = "cannot tell"
    return tuple(fits), Unexplained(rms, aim, verdict, worst)
