"""Words of the trade in plain English, for the page and the notebooks.

On the page each word opens its meaning at a tap: the browser's own popover, without script. A
browser that has none shows the word as it is; the list of all words stands at the end.
"""

import re

from homestead.screen.escaping import for_the_page, html_text

GLOSSARY = {
    "Isolation": "The time when nothing arrives: no grid, no delivery, no store. Sun, rain, "
    "well, woodlot, garden and animals go on.",
    "Start": "The day it could start. We tried every day of every weather year.",
    "Days of independence": "Whole days until a need fails. For the homestead: the fewest of the "
    "needs that count.",
    "Plan on": "Nine times in ten the homestead lasts at least this long; one time in ten, less.",
    "Sunless days": "How long a full battery alone carries the house, without sun or generator.",
    "Essential, useful, comfort": "What uses electricity, by how much you need it. Comfort is "
    "switched off "
    "first when the battery runs low, then useful.",
    "kWh": "Kilowatt-hour, an amount of energy: 1,000 watts for one hour.",
    "kcal": "Kilocalorie, what food labels call a calorie.",
    "Inverter": "The box that turns battery current into house current. The one that makes the "
    "house's own grid is the main inverter.",
    "Generator": "An engine that makes electricity from fuel.",
    "Cistern": "A large tank that keeps water for days.",
    "Head": "How high a pump has to push: lift, friction and pressure, given as a height of water.",
    "R value": "How well a wall or roof holds heat; higher is better.",
    "Cord": "A stack of firewood of 4 by 4 by 8 feet, 128 cubic feet or 3.6 m³.",
    "Measured, label, estimate": "Where a number is from: measured at your place, read from a "
    "label or paper, or a guess.",
    "Typical year": "A weather file put together from months of different years, so "
    "nothing in it is extreme.",
}

# How the words stand in running text, where that is not the entry itself.
SPOKEN = {
    "Isolation": "isolation",
    "Start": "worst starts?|starts? tried|every start|all starts",
    "Days of independence": "days of independence",
    "Plan on": "plan on",
    "Sunless days": "sunless days",
    "Inverter": "inverter|main inverter",
    "Generator": "generator",
    "Cistern": "cistern",
    "Head": "pumping head",
    "R value": "R values?|R-values?",
    "Cord": "cords?",
    "Typical year": "typical year",
}


def _pattern():
    by_word = {word: SPOKEN.get(word, re.escape(word)) for word in GLOSSARY}
    order = sorted(by_word, key=lambda word: -max(map(len, by_word[word].split("|"))))
    groups = "|".join(f"(?P<w{list(GLOSSARY).index(word)}>{by_word[word]})" for word in order)
    return re.compile(rf"(?<![\w-])(?:{groups})(?![\w-])", re.IGNORECASE)


def word_id(word):
    """Name of the meaning of a word within the page."""
    return "word-" + re.sub(r"[^a-z0-9]+", "-", word.lower()).strip("-")


def tappable(text):
    """Text, escaped, in which each word of the glossary opens its meaning, once.

    >>> str(tappable("a cord & a cord"))
    'a <button type="button" class="word" popovertarget="word-cord">cord</button> &amp; a cord'
    """
    words, met = list(GLOSSARY), set()

    def marked(match):
        word = words[int(match.lastgroup[1:])]
        if word in met:
            return match[0]
        met.add(word)
        return (
            f'<button type="button" class="word" popovertarget="{word_id(word)}">'
            f"{match[0]}</button>"
        )

    return for_the_page(_PATTERN.sub(marked, html_text(str(text))))


_PATTERN = _pattern()
