"""JupyterLab as a process that ends with the program that started it, however that one ends."""

import os
import signal
import sys
import threading


def _end_with_parent(pipe):
    """Wait until the other end of a pipe is closed, then ask this process to end."""
    while pipe.read(1):
        pass
    os.kill(os.getpid(), signal.SIGTERM)


def main():
    """Run JupyterLab on the arguments of this process."""
    pipe = os.fdopen(os.dup(sys.stdin.fileno()), "rb", buffering=0)
    threading.Thread(target=_end_with_parent, args=(pipe,), daemon=True).start()
    if sys.platform == "linux":
        from homestead.workspace import kernels

        kernels.register()
    from jupyterlab.labapp import main as lab

    return lab()


if __name__ == "__main__":
    sys.exit(main())
