"""Words of the trade in plain English, for the page and the notebooks."""

GLOSSARY = {
    "Isolation": "The time from the hour at which nothing arrives any more: no grid, no delivery, "
    "no shop. Sun, rain, well, woodlot, garden and animals go on.",
    "Start": "One day of one weather year on which isolation is taken to begin. Every day of every "
    "year is tried.",
    "Days of independence": "Whole days from the start until a need first fails. For the "
    "homestead: the fewest over the needs that count.",
    "9 starts of 10": "Nine out of ten starts last at least this long; one in ten lasts less.",
    "Sunless days": "How long the full battery alone would carry the house, with no sun and no "
    "generator.",
    "Essential, useful, comfort": "Priorities of what uses electricity. Comfort is switched off "
    "first when the battery runs low, then useful.",
    "kWh": "Kilowatt-hour, an amount of energy: 1,000 watts for one hour.",
    "kcal": "Kilocalorie, what food labels call a calorie.",
    "Inverter": "The box that turns battery current into house current. The one that makes the "
    "house's own grid is also called a grid former.",
    "Generator": "An engine that makes electricity from fuel.",
    "Cistern": "A large tank that keeps water for days.",
    "Head": "The height against which a pump works: lift, friction and pressure, told as a height "
    "of water.",
    "R value": "How well a wall or roof holds heat; higher is better.",
    "Cord": "A stack of firewood of 4 by 4 by 8 feet, 128 cubic feet or 3.6 m³.",
    "Measured, label, estimate": "Where a value is from: measured on the place, read from a plate "
    "or paper, or estimated.",
    "Typical year": "A weather file put together from months of different years, so that it is "
    "ordinary on purpose.",
}
