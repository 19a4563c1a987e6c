"""The started server: on this computer only, with its token, for nobody else."""

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from homestead import workspace

ROOT = Path(__file__).resolve().parents[1]
pytestmark = pytest.mark.skipif(os.name == "nt", reason="signals as on POSIX")


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    """Port and token of a server as a family starts it."""
    home = tmp_path_factory.mktemp("family") / "place"
    workspace.new(home)
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("JUPYTER", "HOMESTEAD"))
    }
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "homestead", "open", str(home), "--no-browser", "--port", str(port)],
        env={**kept, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        yield port, token_of(home, port, process), home
    finally:
        os.killpg(process.pid, signal.SIGINT)
        try:
            process.wait(30)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)


def token_of(home, port, process):
    """Token from the file that the server keeps for its own user."""
    until = time.monotonic() + 90
    runtime = home / workspace.HIDDEN / "jupyter" / "runtime"
    while time.monotonic() < until:
        assert process.poll() is None, "the server ended"
        for about in runtime.glob("jpserver-*.json"):
            try:
                with socket.create_connection(("127.0.0.1", port), timeout=2):
                    return json.loads(about.read_text(encoding="utf-8"))["token"]
            except (OSError, ValueError):
                pass  # not listening, or not written, yet
        time.sleep(0.2)
    raise AssertionError("the server did not answer within 90 s")


def asked(port, path, **headers):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    try:
        connection.request("GET", path, headers=headers)
        answer = connection.getresponse()
        answer.read()
        return answer.status
    finally:
        connection.close()


PATHS = ("/api/contents", "/api/kernels", "/api/terminals", "/files/plan.toml")


@pytest.mark.parametrize("path", PATHS)
def test_without_the_token_nothing_is_given(server, path):
    port, token, _ = server
    assert asked(port, path) in (302, 403)  # a page is sent to the question for the token
    assert asked(port, path, Authorization="token wrong") in (302, 403)
    assert asked(port, path, Authorization=f"token {token}") == 200
    if path.startswith("/api"):
        assert asked(port, path) == 403


def test_the_token_is_long_and_new_each_time(server):
    assert len(server[1]) >= 32


def test_a_foreign_host_name_is_refused_even_with_the_token(server):
    port, token, _ = server
    for host in ("evil.example", f"evil.example:{port}", "192.0.2.1"):
        assert asked(port, "/api/contents", Host=host, Authorization=f"token {token}") == 403
    for host in (f"localhost:{port}", f"127.0.0.1:{port}"):
        assert asked(port, "/api/contents", Host=host, Authorization=f"token {token}") == 200


def test_a_page_of_another_site_may_not_post(server):
    port, token, _ = server
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.request("POST", "/api/kernels", "{}", {"Origin": "http://evil.example"})
    refused = connection.getresponse()
    refused.read()
    assert refused.status in (403, 404)
    connection.request("GET", "/api/kernels", headers={"Authorization": f"token {token}"})
    assert json.loads(connection.getresponse().read()) == []  # none was started
    connection.close()


def test_it_listens_on_this_computer_only(server):
    port = server[0]
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # nothing is sent: it only names our own address
            own = probe.getsockname()[0]
        except OSError:
            own = "127.0.0.2"  # no network: another address of this computer
    own = "127.0.0.2" if own.startswith("127.") else own
    with pytest.raises(OSError):
        socket.create_connection((own, port), timeout=3).close()
    with socket.create_connection(("127.0.0.1", port), timeout=10):
        pass


def test_what_it_keeps_is_readable_by_its_user_only(server):
    (about,) = (server[2] / workspace.HIDDEN / "jupyter" / "runtime").glob("jpserver-*.json")
    assert about.stat().st_mode & 0o077 == 0


def test_every_folder_and_file_of_the_server_is_closed_to_others(server):
    own = server[2] / workspace.HIDDEN
    open_to_others = [
        one for one in (own, *own.rglob("*")) if not one.is_symlink() and one.stat().st_mode & 0o077
    ]
    assert open_to_others == []
    # The page that opens the browser holds the token.
    assert list((own / "jupyter" / "runtime").glob("jpserver-*-open.html"))


def test_what_an_older_version_left_open_is_closed(tmp_path):
    own = tmp_path / workspace.HIDDEN / "jupyter"
    (own / "runtime").mkdir(parents=True)
    left = own / "runtime" / "jpserver-1-open.html"
    left.write_text("token", encoding="utf-8")
    left.chmod(0o644)
    workspace._close_to_others(own)
    assert left.stat().st_mode & 0o777 == 0o600


def running_with(home):
    """Process numbers whose environment names this home as the place of their Jupyter."""
    found = []
    for status in Path("/proc").glob("[0-9]*/environ"):
        try:
            if str(home / workspace.HIDDEN).encode() in status.read_bytes():
                found.append(int(status.parent.name))
        except OSError:
            continue
    return found


@pytest.mark.skipif(not Path("/proc/self/environ").exists(), reason="needs /proc")
@pytest.mark.parametrize(
    "numbers",
    [
        [signal.SIGTERM],
        pytest.param([signal.SIGHUP], marks=pytest.mark.nightly),
        [signal.SIGKILL],
        [signal.SIGINT, signal.SIGTERM],
    ],
)
def test_no_server_is_left_when_the_command_is_ended(tmp_path, numbers):
    home = tmp_path / "place"
    workspace.new(home)
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "homestead", "open", str(home), "--no-browser", "--port", str(port)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        token_of(home, port, process)
        assert running_with(home)
        for number in numbers:  # one or two at once, as when a window closes after Ctrl-C
            os.kill(process.pid, number)
        process.wait(60)
        until = time.monotonic() + 60
        while running_with(home) and time.monotonic() < until:
            time.sleep(0.2)
        assert running_with(home) == []
        assert workspace.port_is_free(port)
    finally:
        for left in running_with(home):
            os.kill(left, signal.SIGKILL)


def test_new_makes_a_plan_for_its_owner_alone(tmp_path):
    made = workspace.new(tmp_path / "place")
    assert made.stat().st_mode & 0o777 == 0o600
