"""Plans of older formats: each step raises the format by one where a meaning changed.

No meaning has changed since the first format, so there is no step yet. A step is written when
`schema.SCHEMA` is raised: a function that changes the parsed document in place, registered under
the format that it starts from. The file itself is written by the next save, which keeps the older
text as a dated revision.
"""

from collections.abc import Callable

from tomlkit.exceptions import TOMLKitError

from homestead.plan.disk import PlanError
from homestead.plan.schema import SCHEMA
from homestead.units import quoted

# Format that a step starts from, and the step, which changes a document in place.
STEPS: dict[int, Callable[[dict], None]] = {}


def migrated_from(document, file_name, newest=SCHEMA, steps=None):
    """Bring a parsed plan to the newest format, in place.

    document (dict) : Parsed plan, tomlkit's document or plain data.
    file_name (str) : For messages.
    newest : Format to reach.
    steps (dict, optional) : As `STEPS`.
    Gives int or None: Format that it was written in; None if it is of the newest one (or says no
        format that is a number, which reading the plan reports).

    Raises PlanError if the format is newer than this program, has no way to the newest, or a step
        fails.
    """
    steps = STEPS if steps is None else steps
    found = document.get("schema")
    if not isinstance(found, int) or isinstance(found, bool) or found == newest:
        return None
    if found > newest:
        raise PlanError(
            f"{file_name}: was written by a newer homestead (schema {quoted(found)}; this one "
            f"reads schema {newest}); bring homestead up to date. The file was not touched"
        )
    oldest = newest
    while oldest - 1 in steps:
        oldest -= 1
    if found < oldest:
        raise PlanError(
            f"{file_name}: schema {quoted(found)} is older than this homestead can read; "
            f"it reads schema {oldest} to {newest}"
        )
    for number in range(found, newest):
        try:
            steps[number](document)
        except (KeyError, TypeError, ValueError, AttributeError, IndexError, TOMLKitError) as error:
            raise PlanError(
                f"{file_name}: cannot be brought from schema {number} to {number + 1} "
                f"({type(error).__name__}: {str(error)[:100]}). The file was not touched"
            ) from error
        document["schema"] = number + 1
    return int(found)
