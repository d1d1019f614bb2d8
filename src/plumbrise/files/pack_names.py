"""Every name that a pack may hold, and how large what stands under it may be."""

from __future__ import annotations

from typing import Any

from plumbrise.files.archive import Bounds

Json = dict[str, Any]

FORMAT = 1
STAGES = ("before", *(f"after-{n}" for n in range(1, 10)))
PARTS = {"machine.toml": 200_000, "readings.csv": 4_000_000, "results.json": 10_000_000}
"""File of a stage -> the most bytes it may have."""
PRINT = "print.csv"
"""What was measured on a part printed at a stage; not every stage has it."""
SHOWN = {"figures/{}.svg": 2_000_000, "report/{}.html": 10_000_000}
"""File that shows a stage -> the most bytes it may have."""
PROOF, PROPOSAL, BUILD = "proof.json", "proposal.json", "build.json"
HARNESS, STORY = "harness.toml", "story.html"
BESIDE = {PROOF: 4_000_000, PROPOSAL: 4_000_000, BUILD: 2_000_000, HARNESS: 200_000}
"""File that tells of the whole story, as its command writes it -> the most bytes."""
VERSIONS, CHECKSUMS = "versions.json", "checksums.sha256"
MOST = (
    {f"{stage}/{part}": most for stage in STAGES for part, most in PARTS.items()}
    | {f"{stage}/{PRINT}": 200_000 for stage in STAGES}
    | {name.format(stage): most for stage in STAGES for name, most in SHOWN.items()}
    | {f"{stage}/": 0 for stage in (*STAGES, "figures", "report")}
    | BESIDE
    | {STORY: 10_000_000, VERSIONS: 20_000, CHECKSUMS: 20_000}
)
"""Every name -> the most bytes of it."""
BOUNDS = Bounds(packed=20_000_000, unpacked=60_000_000, entries=len(MOST))
MOST_VALUES = 300_000
"""Values in one JSON member: a list takes three bytes in a file and sixty in memory."""
MOST_FAULTS = 50
"""So many faults of a pack are told one by one."""
DEEPEST = 40
"""How many tables and lists of a JSON member may lie in each other: what writes it out again, or
compares it, would else run out of stack."""
