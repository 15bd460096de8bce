"""Rules on disk -> Knowledge in memory: strict YAML, schemas, meaning checks, versions, compiled bundle.

The names below are imported when first used: a diagnosis on a good bundle reads neither YAML nor schemas.
"""

from typing import TYPE_CHECKING

from saltriage import at_first_use

if TYPE_CHECKING:
    from saltriage.knowledge.findings import Finding as Finding
    from saltriage.knowledge.load import load_knowledge as load_knowledge
    from saltriage.knowledge.model import Knowledge as Knowledge

__all__ = ["Finding", "Knowledge", "load_knowledge"]

__getattr__ = at_first_use(
    __name__,
    {
        "Finding": "saltriage.knowledge.findings",
        "load_knowledge": "saltriage.knowledge.load",
        "Knowledge": "saltriage.knowledge.model",
    },
)
