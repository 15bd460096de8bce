"""What one caller reported: checked, in canonical units, frozen.

load_case(path, "-" or text)  ->  Case        every reason for refusing it is collected in one CaseRefused
Case.from_data(mapping)       ->  Case
case_to_data(case)            ->  mapping that loads to an equal case
"""

from saltriage.case.loading import load_case, load_case_text
from saltriage.case.model import Case
from saltriage.case.readable import Readable
from saltriage.case.reported import ProductAtHand, Reading
from saltriage.case.saving import case_to_data, reading_entry

__all__ = [
    "Case", "ProductAtHand", "Readable", "Reading", "case_to_data", "load_case", "load_case_text", "reading_entry",
]  # fmt: skip
