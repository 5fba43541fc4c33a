"""What is wrong with the wiring before any cord: findings on the record itself, on the room at rest, and on its house
patch. Facts of the trade here are common practice, no source, unless a line says otherwise.
"""

from model.check.finding import Finding, WiringCheck
from model.check.report import as_json, as_text, counts, errors_json
from model.check.table import WIRING_CHECKS, Checked, check_room, check_whole

__all__ = [
    "WIRING_CHECKS",
    "Checked",
    "Finding",
    "WiringCheck",
    "as_json",
    "as_text",
    "check_room",
    "check_whole",
    "counts",
    "errors_json",
]
