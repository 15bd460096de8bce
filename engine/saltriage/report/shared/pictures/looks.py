"""Which drawing shows where to look for a question: by the question's id, else by the look it belongs to. Data."""

from collections.abc import Mapping

__all__ = ["LOOKS", "look_for"]

# Word of `ask.together`, or id of a symptom or reading -> (drawing, part ringed in the return line or '').
LOOKS: Mapping[str, tuple[str, str]] = {
    "look-at-the-plates": ("plates", ""),
    "look-at-the-pump-lid": ("pump-lid", ""),
    "look-at-the-plug": ("plug", ""),
    "look-at-the-skimmer": ("return-line", "skimmer"),
    "look-at-the-gauge": ("return-line", "gauge"),
    "look-at-the-returns": ("return-line", "returns"),
    "look-at-the-pad": ("return-line", ""),
    "look-at-the-box": ("return-line", "control-box"),
    "cell-readout": ("return-line", "control-box"),
    "water-test": ("test-reading", ""),
    "return-test": ("test-reading", ""),
    "overnight-test": ("test-reading", ""),
    "day-test": ("test-reading", ""),
    "water-level-low": ("water-level", ""),
    "flow-arrow-wrong": ("flow-sensor", ""),
    "sensor-near-elbow": ("return-line", "flow-sensor"),
    "flow-shown-pump-off": ("return-line", "flow-sensor"),
    "cell-before-heater": ("return-line", "cell"),
    "cell-mounted-wrong": ("return-line", "cell"),
    "cell-cracked": ("return-line", "cell"),
    "leak-at-cell": ("return-line", "cell"),
    "leads-swapped": ("return-line", "plug"),
    "warning-moves-with-lead": ("return-line", "plug"),
    "cable-damaged": ("return-line", "plug"),
    "heater-leaks": ("return-line", "heater"),
    "heater-flow-fault": ("return-line", "heater"),
    "pump-gravel-noise": ("return-line", "pump"),
    "pump-screams": ("return-line", "pump"),
    "pump-dead": ("return-line", "pump"),
    "pump-hums": ("return-line", "pump"),
    "pump-leaks-water": ("return-line", "pump"),
    "filter-clamp-damaged": ("return-line", "filter"),
    "socket-dead": ("return-line", "supply"),
    "ground-fault-tripped": ("return-line", "supply"),
    "breaker-tripped": ("return-line", "supply"),
}


def look_for(question: str, together: str = "") -> tuple[str, str]:
    """(drawing, part) for a question; ('', '') where no picture helps."""
    return LOOKS.get(question) or LOOKS.get(together) or ("", "")
