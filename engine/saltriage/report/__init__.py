"""One Diagnosis -> text, JSON, HTML. A report formats; it decides nothing."""

__all__ = ["diagnosis_json", "diagnosis_text"]


def __getattr__(name: str) -> object:
    if name == "diagnosis_text":
        from saltriage.report.diagnosis.text import diagnosis_text

        return diagnosis_text
    if name == "diagnosis_json":
        from saltriage.report.diagnosis.json_form import diagnosis_json

        return diagnosis_json
    raise AttributeError(name)
