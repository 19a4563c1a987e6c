"""Amounts and directions in the words that people say, turned into what a plan takes."""

import re

from homestead import units

NUMBERS = {
    word: number
    for number, word in enumerate(
        "one two three four five six seven eight nine ten eleven twelve".split(), start=1
    )
} | {"a dozen": 12, "half a dozen": 6, "no": 0, "none": 0, "a": 1, "an": 1}
PARTS = {"half": 0.5, "a half": 0.5, "a third": 1 / 3, "a quarter": 0.25, "three quarters": 0.75}
DIRECTIONS = {
    "north": 0, "northeast": 45, "east": 90, "southeast": 135, "south": 180, "southwest": 225,
    "west": 270, "northwest": 315,
}  # fmt: skip
_NUMBER = "|".join(sorted(NUMBERS, key=len, reverse=True))
_PART = "|".join(sorted(PARTS, key=len, reverse=True))
_AND_A_HALF = re.compile(rf"^(\d+|{_NUMBER}) (.+?) and a half$")
_PART_OF = re.compile(rf"^({_PART})(?: of)?(?: an?)? (.+)$")
_COUNT_OF = re.compile(rf"^({_NUMBER})(?: and (a half|a quarter|a third))?(?: |$)(.*)$")


def amount_text(text):
    """An amount with its number in digits; other text stays as it is.

    >>> amount_text("Half a cord"), amount_text("two and a half cords"), amount_text("12kWh")
    ('0.5 cord', '2.5 cords', '12kWh')
    """
    said = " ".join(text.lower().replace("-", " ").split())
    if match := _AND_A_HALF.match(said):
        whole = NUMBERS.get(match[1]) or int(match[1])
        return f"{whole + 0.5:g} {match[2]}"
    count = _COUNT_OF.match(said)
    if count and (count[1] not in ("a", "an") or not _PART_OF.match(said)):
        number = NUMBERS[count[1]] + PARTS.get(count[2], 0.0)
        return f"{number:g} {count[3]}".strip()
    if match := _PART_OF.match(said):
        return f"{PARTS[match[1]]:.4g} {match[2]}"
    return text.strip()


def share(text):
    """Share from text such as ``"80%"``, ``"half full"`` or ``"full"``; None if it is no share.

    >>> share("80 %"), share("half"), share("three quarters full"), share("2 cords")
    (0.8, 0.5, 0.75, None)
    """
    said = " ".join(text.lower().replace("-", " ").removesuffix("full").split())
    if said in PARTS or text.strip().lower() in ("full", "empty"):
        return PARTS.get(said, float(text.strip().lower() == "full"))
    match = re.fullmatch(r"(\d+(?:\.\d+)?) ?(?:%|percent)", said)
    found = float(match[1]) / 100.0 if match else None
    return found if found is None or 0.0 <= found <= 1.0 else None


def direction_deg(text):
    """Degrees from north, from text such as ``"south"`` or ``"200"``.

    Raises ValueError if it is neither a direction nor degrees from 0 to 360.
    """
    said = text.lower().replace("-", "").replace(" ", "").removesuffix("deg").removesuffix("°")
    if said in DIRECTIONS:
        return float(DIRECTIONS[said])
    if re.fullmatch(r"\d+(\.\d+)?", said) and float(said) <= 360:
        return float(said)
    raise ValueError(f"a direction such as south, or degrees from north; got {text[:40]!r}")


_FEET_INCHES = re.compile(
    r"^(\d+) ?(?:ft|feet|foot|\')[ ,]*(?:and )?(\d+(?:\.\d+)?) ?(?:in|inch|inches|\"|\'\')\.?$",
    re.IGNORECASE,
)
_BARE = re.compile(r"^-?(?:\d+(?:,\d{3})*(?:\.\d+)?|\.\d+|\d+/\d+)$")


def understood(text, kind, unit=""):
    """An amount as a plan writes it, from how a person says it; other text stays as it is.

    text (str)
    kind (str) : One of `units.KINDS`.
    unit (str) : What a bare number is taken to be in; none is taken if it is empty.
    Gives str.

    >>> understood("5 ft 6 in", "length"), understood("south", "angle")
    ('66 in', '180 deg')
    >>> understood("half a cord", "volume"), understood("12kWh", "energy")
    ('0.5 cord', '12kWh')
    """
    said = text.strip()
    if reads(said, kind):
        return said
    if match := _FEET_INCHES.match(said):
        said = f"{int(match[1]) * 12 + float(match[2]):g} in"
    elif kind == "angle" and said.lower().replace(" ", "").replace("-", "") in DIRECTIONS:
        said = f"{direction_deg(said):g} deg"
    else:
        said = amount_text(said)
        if unit and _BARE.match(said):
            said = f"R-{said}" if unit == "R-number" else f"{said} {unit}"
    return said if reads(said, kind) else text.strip()


def reads(text, kind):
    """Whether a text is an amount of a kind, with its unit."""
    try:
        units.parse(text, kind)
    except ValueError:
        return False
    return True
