"""The first questions of a new plan, and what their answers change in the plan it begins with."""

import re
import shutil
import unicodedata
from pathlib import Path

from homestead.plan.disk import PlanError

SEXES = {"f": "female", "female": "female", "m": "male", "male": "male"}
PEOPLE_EXAMPLE = "Ann 39 f, Tom 41 m, Kit 9 f"


def people(text):
    """People as parts of a plan, from text such as ``"Ann 39 f, Tom 41 m"``.

    Raises
    ------
    ValueError
        Naming the piece that cannot be read.

    Examples
    --------
    >>> people("Ann Lee 39 f")
    [{'name': 'Ann Lee', 'age': 39, 'sex': 'female', 'activity': 'moderate'}]
    """
    found = []
    for piece in text.split(","):
        match = re.fullmatch(r"\s*(\S.*?)\s+(\d{1,3})\s+(\w+)\s*", piece)
        sex = SEXES.get(match[3].lower()) if match else None
        if sex is None:
            raise ValueError(
                f'each person is a name, an age and f or m, such as "{PEOPLE_EXAMPLE}"; '
                f"got {piece.strip()[:60]!r}"
            )
        name = unicodedata.normalize("NFC", match[1])
        found.append({"name": name, "age": int(match[2]), "sex": sex, "activity": "moderate"})
    return found


def answered(file, answers):
    """Put answers into a plan that was read; nothing is written.

    Parameters
    ----------
    file : PlanFile
    answers : dict
        Any of name, units, weather and people (as `people` gives it).

    Raises
    ------
    PlanError
        If the plan would not hold with one of them.
    """
    said = {"name": "name", "units": "units", "weather": "site.weather"}
    changes = {path: answers[key] for key, path in said.items() if answers.get(key)}
    if changes:
        file.set_all(changes)
    if answers.get("people"):
        before = [one["name"] for one in file.raw()["person"]]
        for number, name in enumerate(before):  # out of the way of the same names
            file.rename("person", name, f"of the example {number}")
        for person in answers["people"]:
            file.add("person", person)
        for number in range(len(before)):
            file.remove("person", f"of the example {number}")


def weather_beside(text, folder):
    """Name of the weather for a plan in a folder; a file is copied there, so that it stays.

    Parameters
    ----------
    text : str
        A built-in name, or the path of a weather file.
    folder : Path
        Folder of the plan; made if it is not there.

    Raises
    ------
    PlanError
        If it is neither, or cannot be copied.
    """
    from homestead import weather

    source = Path(text).expanduser()
    try:
        is_file = source.is_file()
        weather.read(source if is_file else text)
        if not is_file:
            return text
        folder.mkdir(parents=True, exist_ok=True)
        target = folder / source.name
        if not target.exists():
            shutil.copyfile(source, target)
        elif target.read_bytes() != source.read_bytes():
            raise PlanError(f"{target}: another weather file of that name is there already")
    except ValueError as error:  # what is wrong with the file
        raise PlanError(str(error)) from error
    except OSError as error:
        raise PlanError(f"{source}: cannot be copied ({error.strerror})") from error
    return source.name
