"""Kernels of `homestead open` on Linux: forked off one process that has everything loaded.

Each notebook has a kernel. Started one by one they load the same libraries and work the same days
each for itself; forked they share both and are there at once. Whatever fails, the kernel starts
the usual way. Nothing here touches other Jupyter servers: the server registers it for itself.
"""

import asyncio
import multiprocessing
import os
import signal
import sys
import threading
import time
from importlib.metadata import EntryPoint
from multiprocessing import connection, forkserver

from jupyter_client.provisioning import KernelProvisionerFactory, LocalProvisioner

NAME = "homestead-forked"
MODULE = "ipykernel_launcher"
# Before 3.11.1 the socket of Python's fork server was open to every account (CVE-2022-42919).
CAN_FORK = sys.platform == "linux" and sys.version_info >= (3, 11, 1)

REST_S, BUSY_S = 10.0, 0.5  # a kernel that took less of so many seconds is at rest


def register():
    """Let this server fork its kernels, and begin to load what they need."""
    if not CAN_FORK:
        return
    _forking().set_forkserver_preload(["homestead.workspace.ready"])
    forkserver.ensure_running()
    factory = KernelProvisionerFactory.instance()
    group = KernelProvisionerFactory.GROUP_NAME
    factory.provisioners[NAME] = EntryPoint(NAME, f"{__name__}:ForkedProvisioner", group)
    factory.default_provisioner_name = NAME


def _forking():
    return multiprocessing.get_context("forkserver")


def _run_kernel(arguments, folder, environment):
    """Be a kernel, in the forked process, in a session of its own like every kernel."""
    os.setsid()
    os.environ.clear()
    os.environ.update(environment)
    if folder:
        os.chdir(folder)
    server = multiprocessing.parent_process()
    threading.Thread(target=_watch, args=(server.sentinel,), daemon=True).start()
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    multiprocessing.current_process().daemon = False  # so that cells may start processes
    sys.argv = [MODULE, *arguments]
    from ipykernel import kernelapp

    # It ends when its parent does, as kernels do that learn of it from their environment.
    kernelapp.launch_new_instance(parent_handle=os.getppid())


def _watch(server_ends):
    """End with the server, however that one ends; give back memory when the notebook rests."""
    from homestead.questions.variants import Variants
    from homestead.workspace.ready import give_back

    before_s, has_worked = 0.0, True
    while not connection.wait([server_ends], REST_S):
        now_s = time.process_time()
        if now_s - before_s > BUSY_S:
            has_worked = True
        elif has_worked:
            Variants.rest()
            give_back()
            has_worked = False
        before_s = now_s
    os._exit(1)


class _Forked:
    """A forked kernel, in the words of `subprocess.Popen` that a provisioner uses."""

    stdin = stdout = stderr = None

    def __init__(self, process):
        self._process, self.pid = process, process.pid

    def poll(self):
        return self._process.exitcode

    def wait(self):
        self._process.join()
        return self._process.exitcode

    def send_signal(self, number):
        if self.poll() is None:
            os.kill(self.pid, number)

    def terminate(self):
        self.send_signal(signal.SIGTERM)

    def kill(self):
        self.send_signal(signal.SIGKILL)


class ForkedProvisioner(LocalProvisioner):
    """Starts a kernel by forking; all else is as with any kernel of this computer."""

    async def launch_kernel(self, cmd, **kwargs):
        """Start the kernel, the usual way if it is no plain Python kernel or forking fails."""
        if cmd[1:3] != ["-m", MODULE]:
            return await super().launch_kernel(cmd, **kwargs)
        process = _forking().Process(
            target=_run_kernel,
            args=(cmd[3:], kwargs.get("cwd"), kwargs.get("env") or dict(os.environ)),
            daemon=True,
        )
        try:
            # It waits until all is loaded, and must not hold up the server.
            await asyncio.get_running_loop().run_in_executor(None, process.start)
        except (OSError, EOFError) as error:
            self.log.warning("The kernel can't be forked (%s); it is started by itself.", error)
            return await super().launch_kernel(cmd, **kwargs)
        self.process = _Forked(process)
        self.pid = self.pgid = process.pid
        return self.connection_info
