"""Variants: worked once, found again by content, carried by any executor."""

import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
from small_plans import SMALLEST, plan_of

from homestead import disk_cache
from homestead.outlook import independence, run
from homestead.plan import PlanError, with_changes
from homestead.questions.variants import Variants
from homestead.simulate.inputs import hours_of

SHELF = SMALLEST | {
    "pantry": [{"name": "shelf", "energy": "30000 kcal"}],
    "failure": {"counts": ["food"]},
}
LONGER = ({"pantry.shelf.energy": "60000 kcal"}, {})


@pytest.fixture(autouse=True)
def cache(tmp_path, monkeypatch):
    """A cache of this test's own, and nothing in memory from before."""
    monkeypatch.setenv(disk_cache.ENVIRONMENT, str(tmp_path / "cache"))
    forget(monkeypatch)
    return tmp_path / "cache"


def forget(monkeypatch):
    monkeypatch.setattr(Variants, "_remembered", {})


def test_a_variant_has_the_days_of_a_run_of_the_changed_plan():
    plan = plan_of(SHELF)
    today, longer = Variants(plan).of([({}, {}), LONGER])
    changed = with_changes(plan.raw, *LONGER)
    assert np.array_equal(longer.days, run(changed).days)
    assert np.array_equal(today.days, run(plan).days)
    assert longer.reached("food") == run(changed).needs["food"].p10 > today.reached("food")


def test_the_same_question_is_worked_once_and_answers_keep_their_order():
    worked = Variants(plan_of(SHELF))
    first = worked.of([LONGER, ({}, {}), LONGER], days_only=True)
    assert worked.worked_n == 2
    assert first[0] is first[2]
    assert first[0].reached() > first[1].reached()
    worked.of([LONGER], days_only=True)
    assert worked.worked_n == 2


def test_only_the_days_are_not_taken_for_the_whole():
    worked = Variants(plan_of(SHELF))
    assert worked.one(days_only=True).findings is None
    whole = worked.one()
    assert whole.findings is not None and whole.generator_h == 0.0
    assert worked.worked_n == 2
    assert worked.one(days_only=True) is not None and worked.worked_n == 2


def test_days_below_an_early_end_are_those_of_the_whole_run():
    plan = plan_of(SHELF)
    whole = Variants(plan).one(days_only=True).together
    until = int(np.median(whole))
    (short,) = Variants(plan, years_n=2).of([({}, {})], True, "homestead", until)
    (long,) = Variants(plan, years_n=2).of([({}, {})], True, "homestead")
    assert np.array_equal(short.together, np.minimum(long.together, until))


def test_a_changed_plan_that_does_not_hold_says_why():
    with pytest.raises(PlanError, match="energy"):
        Variants(plan_of(SHELF)).one({"pantry.shelf.energy": "30 lb"})


def test_progress_counts_up_and_raising_in_it_cancels():
    seen = []
    Variants(plan_of(SHELF), progress=lambda *now: seen.append(now)).of([({}, {}), LONGER])
    # Asked now and then meanwhile, so that a long variant can be given up too.
    assert [one for one in dict.fromkeys(seen) if one[0]] == [(1, 2), (2, 2)]

    class Cancelled(Exception):
        pass

    def stop(done, asked):
        raise Cancelled

    questions = [({"pantry.shelf.energy": f"{n} kcal"}, {}) for n in range(1000, 1040)]
    with ThreadPoolExecutor(1) as one:
        worked = Variants(plan_of(SHELF), executor=one, progress=stop)
        with pytest.raises(Cancelled):
            worked.of(questions, days_only=True)
    assert worked.worked_n <= 1


# --- on disk ----------------------------------------------------------------------------------


def worked_again(monkeypatch, plan, days_only=False):
    """How many variants a new session has to work for the same two questions."""
    forget(monkeypatch)
    again = Variants(plan)
    answers = again.of([({}, {}), LONGER], days_only)
    return again.worked_n, answers


def test_a_new_session_finds_the_same_again(monkeypatch, cache):
    plan = plan_of(SHELF)
    first = Variants(plan).of([({}, {}), LONGER])
    assert len(list(cache.glob("*.npz"))) == 2
    worked_n, again = worked_again(monkeypatch, plan)
    assert worked_n == 0
    for one, other in zip(first, again, strict=True):
        assert np.array_equal(one.days, other.days)
        assert (one.counted, one.findings) == (other.counted, other.findings)
        assert (one.fuel_wh, one.generator_h) == (other.fuel_wh, other.generator_h)
    assert worked_again(monkeypatch, plan, days_only=True)[0] == 0


def test_another_plan_number_of_years_or_code_is_worked_anew(monkeypatch):
    plan = plan_of(SHELF)
    Variants(plan).one()
    forget(monkeypatch)
    other = Variants(plan_of(SHELF | {"water_use": {"per_person": "61 L"}}))
    other.one()
    more = Variants(plan, years_n=2)
    more.one()
    assert (other.worked_n, more.worked_n) == (1, 1)
    forget(monkeypatch)
    monkeypatch.setattr(disk_cache, "code_digest", lambda: "another")
    newer = Variants(plan)
    newer.one()
    assert newer.worked_n == 1


def test_ideas_do_not_make_a_plan_another_one(monkeypatch):
    Variants(plan_of(SHELF)).one()
    forget(monkeypatch)
    idea = {"name": "more", "sets": {"pantry.shelf.energy": "90000 kcal"}}
    same = Variants(plan_of(SHELF | {"change": [idea]}))
    same.one()
    assert same.worked_n == 0


def test_a_changed_weather_file_is_worked_anew(monkeypatch, tmp_path):
    data = Path(pytest.importorskip("pvlib").__file__).parent / "data"
    shutil.copy(data / "723170TYA.CSV", tmp_path / "here.csv")
    raw = SHELF | {"site": SHELF["site"] | {"weather": "here.csv"}}
    plan = with_changes(raw, folder=tmp_path)
    warm = Variants(plan).one().days
    assert worked_again(monkeypatch, plan)[0] == 1  # LONGER only
    shutil.copy(data / "703165TY.csv", tmp_path / "here.csv")
    worked_n, (cold, _) = worked_again(monkeypatch, plan)
    assert worked_n == 2
    assert not np.array_equal(warm, cold.days)


@pytest.mark.parametrize("content", [b"", b"not a zip", None])
def test_a_broken_or_foreign_file_is_worked_anew(monkeypatch, cache, content):
    plan = plan_of(SHELF)
    first = Variants(plan).one()
    (path,) = cache.glob("*.npz")
    if content is None:  # a good file under a wrong name
        other = cache / f"{'0' * 64}.npz"
        shutil.copy(path, other)
        assert disk_cache.load_arrays("0" * 64, "days") is None
        content = path.read_bytes()[:-200]  # and one that was cut off
    path.write_bytes(content)
    forget(monkeypatch)
    again = Variants(plan)
    assert np.array_equal(again.one().days, first.days)
    assert again.worked_n == 1
    assert disk_cache.load_arrays(path.stem, "days") is not None  # mended


def test_the_cache_can_be_switched_off_and_may_be_unwritable(monkeypatch, tmp_path):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")
    assert disk_cache.folder() is None
    Variants(plan_of(SHELF)).one(days_only=True)
    assert worked_again(monkeypatch, plan_of(SHELF), days_only=True)[0] == 2
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv(disk_cache.ENVIRONMENT, str(tmp_path / "file"))
    assert worked_again(monkeypatch, plan_of(SHELF), days_only=True)[0] == 2
    monkeypatch.delenv(disk_cache.ENVIRONMENT)
    assert disk_cache.folder().name == "variants"


def test_the_longest_unused_go_first_and_other_files_stay(cache):
    keys = [
        f"{number:064x}{depth}" for number, depth in enumerate(("", "-days", "-homestead-80", ""))
    ]
    days = np.zeros((1, 365, 5), np.int16)
    for number, key in enumerate(keys):
        disk_cache.keep_arrays(key, "about", days=days)
        path = cache / f"{key}.npz"
        disk_cache.os.utime(path, (number, number))
    (cache / "holiday.npz").write_bytes(b"x" * 10_000)
    assert disk_cache.load_arrays(keys[0]) is not None  # used again: now the youngest
    size = (cache / f"{keys[0]}.npz").stat().st_size
    disk_cache.tidy(most_bytes=int(2.5 * size))
    assert sorted(path.stem for path in cache.glob("0*.npz")) == [keys[0], keys[3]]
    assert (cache / "holiday.npz").exists()


def test_a_result_is_known_by_plan_weather_years_and_sources(monkeypatch):
    plan, other = plan_of(SHELF), plan_of(SHELF | {"name": "Another"})
    asked = [(plan, 1, "days"), (other, 1, "days"), (plan, 2, "days"), (plan, 1, "json")]
    keys = [disk_cache.key_of(*one) for one in asked]
    monkeypatch.setattr(disk_cache, "weather_digest", lambda *_: "another")
    keys.append(disk_cache.key_of(*asked[0]))
    monkeypatch.setattr(disk_cache, "code_digest", lambda: "another")
    keys.append(disk_cache.key_of(*asked[0]))
    assert len(set(keys)) == len(keys)
    assert disk_cache.key_of(plan_of(SHELF), 1, "days") == keys[-1]


def test_the_digest_of_the_code_sees_a_change_in_a_source(monkeypatch):
    before = disk_cache.code_digest.__wrapped__()
    assert before == disk_cache.code_digest.__wrapped__()
    read = Path.read_bytes

    def changed(path):
        return read(path) + (b"\n" if path.name == "hour.py" else b"")

    monkeypatch.setattr(Path, "read_bytes", changed)
    assert disk_cache.code_digest.__wrapped__() != before


# --- any executor -----------------------------------------------------------------------------


def test_a_piece_sent_away_holds_all_that_its_year_needs(shipped_hours, greensboro):
    """Worked from the copies in a piece as from the whole, the last year's wrap included."""
    hours = hours_of(shipped_hours["cabin"].plan, 3, greensboro)
    for year in (0, 2):
        piece = independence.arguments_of_year(hours, year)
        assert piece[2].nbytes == hours.rows.nbytes * 2 // 3
        here = independence.one_year_of_starts(hours, year)
        assert np.array_equal(independence.days_of_starts(*piece), here)


def test_a_dask_cluster_gives_the_days_of_threads(tmp_path, monkeypatch):
    """The executor of a Dask client on a cluster of this computer: two processes, loopback."""
    distributed = pytest.importorskip("distributed")
    monkeypatch.setenv("NUMBA_NUM_THREADS", "1")
    data = Path(pytest.importorskip("pvlib").__file__).parent / "data"
    shutil.copy(data / "723170TYA.CSV", tmp_path / "here.csv")
    raw = SHELF | {"site": SHELF["site"] | {"weather": "here.csv"}}
    plan = with_changes(raw, folder=tmp_path)
    here = run(plan, years_n=3)
    by_threads = Variants(plan, years_n=3).of([({}, {}), LONGER])
    forget(monkeypatch)
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")
    cluster = distributed.LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        host="127.0.0.1",
        dashboard_address=None,
        local_directory=str(tmp_path),
    )
    with cluster, distributed.Client(cluster) as client, client.get_executor() as executor:
        there = run(plan, years_n=3, executor=executor)
        assert np.array_equal(there.days, here.days)
        assert (there.homestead, there.first_to_fail) == (here.homestead, here.first_to_fail)
        # The folder is not sent: the weather file of this machine is not there for the others.
        worked = Variants(plan, years_n=3, executor=executor)
        for one, other in zip(worked.of([({}, {}), LONGER]), by_threads, strict=True):
            assert np.array_equal(one.days, other.days)
            assert one.findings == other.findings
        assert worked.worked_n == 2
