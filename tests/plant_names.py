"""Names of the invented plants in samples and tests: drawn by syllables, so that they resemble nothing on purpose.

Run `python tests/plant_names.py` to see the draw. Whether a place or company bears one of these names cannot be looked
up here; nobody knew any when they were drawn.
"""

from random import Random

SEED = 12
ONSETS = ("b", "d", "f", "g", "h", "k", "l", "m", "n", "r", "t", "v", "w", "z", "br", "dr", "gr", "kl", "sk", "tr")
VOWELS = ("a", "e", "i", "o", "u", "au", "oo")
ENDS = ("d", "k", "l", "m", "n", "r", "x", "nd", "rk", "sk")


def drawn(count: int) -> list[str]:
    """The first names of the draw: three syllables, the last one closed.

    >>> drawn(3)
    ['Drigrauvex', 'Bidribrausk', 'Mubautrend']
    """
    dice = Random(SEED)
    names = []
    for _ in range(count):
        syllables = [dice.choice(ONSETS) + dice.choice(VOWELS) for _ in range(3)]
        names.append(("".join(syllables) + dice.choice(ENDS)).capitalize())
    return names


PLANT, *_OTHERS = drawn(3)
"""The plant of the samples."""
TOWN, COMPANY = _OTHERS
"""Names in the tests alone."""

if __name__ == "__main__":
    print(PLANT, TOWN, COMPANY)
