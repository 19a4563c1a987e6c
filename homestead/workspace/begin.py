"""The weather file of a new plan."""

import shutil
from pathlib import Path

from homestead.plan.disk import PlanError


def weather_beside(text, folder):
    """Name of the weather for a plan in a folder; a file is copied there, so that it stays.

    text (str) : A built-in name, or the path of a weather file.
    folder (Path) : Folder of the plan; made if it is not there.

    Raises PlanError If it is neither, or cannot be copied.
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
            raise PlanError(f"{target}: there's already another weather file with that name")
    except ValueError as error:  # what is wrong with the file
        raise PlanError(str(error)) from error
    except OSError as error:
        raise PlanError(f"{source}: cannot be copied ({error.strerror})") from error
    return source.name
