"""The fold that says whose the numbers are and which of them are still estimates."""

from homestead.plan import whose
from homestead.screen.escaping import html_text
from homestead.screen.readable import assumption_text


def estimates_html(plan, parts, system):
    """How many numbers of the plan are whose, and which of some parts are estimates still."""
    count_html = f'<p class="hs-about">{html_text(whose.in_words(plan))}</p>'
    title = "Whose numbers these are"
    found = [
        assumption
        for assumption in plan.assumptions
        if assumption.basis == "estimate" and assumption.path.split(".")[0] in parts
    ]
    if not found:
        return f"<details><summary>{title}</summary>{count_html}</details>"
    count = "1 value is" if len(found) == 1 else f"{len(found)} values are"
    items = "".join(
        f"<li>{html_text(_estimate_text(estimate, plan, system))}</li>" for estimate in found
    )
    return (
        f'<details class="hs-estimates"><summary>{title}</summary>{count_html}'
        f"<p>{count} still an estimate:</p><ul>{items}</ul></details>"
    ).replace("are still an estimate", "are still estimates")


def _estimate_text(one, plan, system):
    text = f"{one.label}: {assumption_text(one, one.value, plan, system)}"
    if one.low is None and one.high is None:
        return text
    low, high = (
        assumption_text(one, one.value if end is None else end, plan, system)
        for end in (one.low, one.high)
    )
    return f"{text}, from {low} to {high}"
