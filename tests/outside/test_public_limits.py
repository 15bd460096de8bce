"""Target profiles against what the texts print; each row names where it was read.

What could not be read (see `seen: memory` and sources ending in -memory) is not in this table.
"""

from pathlib import Path

import pytest

from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.knowledge.model import Number, Range

ROOT = Path(__file__).parents[2]

CMAHC_2023 = "CMAHC notice of the 2023 MAHC (4th edition), cmahc.org"
MAHC_2024 = "Kunz and Laco, J. Environ. Health, May 2025, on MAHC 2024, 5.7.3.1.1.5"
MAHC_CLOSING = "MAHC 6.6.3.1, cmahc.org/mahc_sections/2340"
VICTORIA = "Public Health and Wellbeing Regulations 2019 (Victoria), regulation 54"
WA = "Department of Health, HealthyWA, Swimming pools and spas"
NC = "15A NCAC 18A .2535"
GUILDFORD = "Guildford Borough Council, Find out about swimming pool water quality"
LOGAN = "Logan City Council, Water quality for commercial swimming pools"

# profile, ranges or closes, reading -> (low, high), printed in
PRINTED = [
    ("mahc-2023", "ranges", "ph", (7.0, None), CMAHC_2023),
    ("mahc", "ranges", "ph", (7.0, None), CMAHC_2023),
    ("mahc", "closes", "free-chlorine", (None, 10.0), MAHC_2024),
    ("mahc", "closes", "ph", (6.5, 8.0), MAHC_CLOSING),
    ("mahc-2023", "closes", "ph", (6.5, 8.0), MAHC_CLOSING),
    ("victoria", "ranges", "free-chlorine", (2.0, None), VICTORIA),
    ("victoria", "ranges", "total-chlorine", (None, 10.0), VICTORIA),
    ("victoria", "ranges", "ph", (7.2, 7.8), VICTORIA),
    ("private-spa-salt", "ranges", "free-chlorine", (3.0, None), VICTORIA),
    ("western-australia", "ranges", "free-chlorine", (3.0, None), WA),
    ("western-australia", "ranges", "cyanuric-acid", (30.0, 50.0), WA),
    ("western-australia", "ranges", "ph", (7.2, 7.8), WA),
    ("north-carolina", "ranges", "ph", (7.2, 7.8), NC),
    ("north-carolina", "ranges", "cyanuric-acid", (None, 100.0), NC),
    ("pwtag", "ranges", "free-chlorine", (1.0, 2.0), GUILDFORD),
    ("pwtag", "ranges", "combined-chlorine", (None, 0.5), GUILDFORD),
    ("pwtag", "ranges", "total-alkalinity", (80.0, 150.0), GUILDFORD),
    ("pwtag", "ranges", "calcium-hardness", (200.0, None), GUILDFORD),
    ("pwtag", "ranges", "saturation-index", (0.0, 0.5), GUILDFORD),
    ("queensland", "ranges", "cyanuric-acid", (None, 50.0), LOGAN),
]


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


@pytest.mark.parametrize(("profile", "where", "reading", "ends", "printed_in"), PRINTED)
def test_the_profile_holds_what_is_printed(
    rules: Knowledge, profile: str, where: str, reading: str, ends: tuple[float | None, float | None], printed_in: str
) -> None:
    """And its source is one that was read, by a kind of source that is no memory."""
    target = rules.targets[profile]
    span: Range = getattr(target, where)[reading]
    for stored, printed in zip((span.low, span.high), ends, strict=True):
        if printed is not None:
            assert isinstance(stored, Number), printed_in
            assert stored.value == printed, printed_in
            assert rules.sources[stored.source].kind == "published", printed_in


def test_every_public_profile_names_its_edition(rules: Knowledge) -> None:
    """With a date where one is known; nothing that closes by memory goes unsaid (R094 holds the texts)."""
    for target in rules.targets.values():
        assert target.edition.name
        if target.edition.seen == "memory":
            assert target.cited.endswith("from memory")
