"""English words without their endings."""

__all__ = ["stemmed"]


def stemmed(word: str) -> str:
    """A regular word without its ending, the same for 'leak', 'leaks', 'leaking', 'leaked'."""
    if len(word) <= 3 or not word.isalpha():
        return word
    for ending in ("ing", "ed"):
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            word = word.removesuffix(ending)
            if len(word) > 3 and word[-1] == word[-2] and word[-1] not in "lsz":
                word = word[:-1]
            return _without_vowel(word)
    if word.endswith("ies"):
        return word[:-3] + "i"
    if word.endswith("es") and word[-3] in "sxzh":
        word = word[:-2]
    elif word.endswith("s") and word[-2] not in "su":
        word = word[:-1]
    if word.endswith("ly") and len(word) > 5:
        word = word[:-2]
    return _without_vowel(word)


def _without_vowel(word: str) -> str:
    if len(word) > 3 and word[-1] == "e":
        return word[:-1]
    return word[:-1] + "i" if len(word) > 3 and word[-1] == "y" else word
