"""Fuzz by hand, led by coverage: ``python tests/fuzz/run_fuzz.py TARGET SECONDS [SEED]``.

Needs ``pip install atheris``. It begins with the shipped plans and with weather files of every
format, prints how many inputs ran, and leaves an input that fails in the working folder as crash-*.
"""

import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
SECONDS_OF_ONE = 20
LARGEST_MB = 2500


def begin(target, corpus):
    """Write the first inputs of a target into a folder."""
    import fuzz_seeds

    pieces = []
    if target in ("plan_text", "layout_text"):
        whole = fuzz_seeds.plan_texts()
        pieces = [*fuzz_seeds.part_texts(), whole["cabin"], whole["cold-coast"]]
        pieces = [one.encode() for one in pieces]
    elif target == "weather_text":
        with tempfile.TemporaryDirectory() as folder:
            for rows_n in (1, 3, 30):
                pieces += [one.read_bytes() for one in fuzz_seeds.weather_files(folder, rows_n)]
    else:
        pieces = [bytes(range(start, 256, 7)) for start in range(12)]
    for number, piece in enumerate(pieces):
        (corpus / f"{number:04d}").write_bytes(piece)
    quoted = ["".join(f"\\x{byte:02x}" for byte in word.encode()) for word in fuzz_seeds.words()]
    dictionary = corpus.parent / "words.dict"
    dictionary.write_text("".join(f'"{one}"\n' for one in quoted if one), encoding="utf-8")
    return dictionary


def main():
    target, seconds, *seed = sys.argv[1:]
    import atheris

    sys.path[:0] = [str(HERE), str(HERE.parents[1])]
    with atheris.instrument_imports(include=["homestead", "tomlkit"]):
        import fuzz_targets

        import homestead.weather.files  # noqa: F401  (else its first import is not instrumented)
    with tempfile.TemporaryDirectory() as scratch:
        corpus = Path(scratch) / "corpus"
        corpus.mkdir()
        dictionary = begin(target, corpus)
        options = [
            f"-max_total_time={seconds}",
            f"-timeout={SECONDS_OF_ONE}",
            f"-rss_limit_mb={LARGEST_MB}",
            f"-dict={dictionary}",
            f"-seed={seed[0] if seed else 1}",
            "-print_final_stats=1",
            "-max_len=8192",
        ]
        atheris.Setup([sys.argv[0], *options, str(corpus)], fuzz_targets.TARGETS[target])
        atheris.Fuzz()


if __name__ == "__main__":
    main()
