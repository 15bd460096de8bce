"""One Diagnosis -> text, JSON, HTML. A report formats; it decides nothing."""

__all__ = ["diagnosis_json", "diagnosis_text"]


def __getattr__(name: str) -> object:
    if name == "diagnosis_text":
        from saltriage.report.text import diagnosis_text

        return diagnosis_text
    if name == "diagnosis_json":
        from saltriage.report.json_form import diagnosis_json

        return diagnosis_json
    raise AttributeError(name)
