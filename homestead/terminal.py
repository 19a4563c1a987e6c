"""What every command says on the terminal: words, a bar while it works, whose plan it is."""

import builtins
import contextlib
import sys

SHOW_AFTER_S = 2.0  # a shorter wait needs no progress bar


def print(*words, **more):
    """As Python's own; what a plan or a file says cannot steer the terminal."""
    from homestead.screen.escaping import visible

    builtins.print(*(visible(word).replace("\r", "\u240d") for word in words), **more)


def say_if_demo(path, folder):
    """Tell whoever stands in the wrong folder that these are not the family's own days."""
    from homestead.plan.file import demo_path

    if path is None and folder == demo_path().resolve().parent:
        print("No plan in this folder: this is the demo, an invented homestead.", file=sys.stderr)


@contextlib.contextmanager
def bar(unit, what=None, total=None):
    """A `progress` to pass on, with a bar on stderr if it takes a while."""
    from tqdm import tqdm

    shown = "{desc}{percentage:3.0f} %|{bar}| {n_fmt}/{total_fmt} {unit}"
    with tqdm(
        total=total,
        unit=unit,
        delay=SHOW_AFTER_S,
        file=sys.stderr,
        desc=what,
        bar_format=shown,
        disable=None,  # a file or another program wants the answer alone
    ) as shown_bar:

        def progress(done, total):
            shown_bar.total = total
            shown_bar.update(done - shown_bar.n)

        yield progress


def prepare():
    """Compile what every answer needs, the first time on a computer."""
    from homestead.outlook import independence

    is_ready, is_kept = independence.is_prepared()
    if not is_ready:
        once = "once on this computer" if is_kept else "each time: its cache folder is read-only"
        print(f"Preparing the simulation ({once})...", file=sys.stderr, flush=True)
        independence.prepare()


def outlook_of(plan, years):
    """Outlook of a plan."""
    from homestead.screen import kept

    prepare()
    with bar("years", total=years or plan.site.years_n) as progress:
        return kept.outlook_of(plan, progress, years)
