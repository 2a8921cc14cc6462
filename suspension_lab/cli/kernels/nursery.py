"""The process that kernels are forked from: it loads the lab once, and then forks when it is asked to.

    python -m suspension_lab.cli.kernels.nursery DOOR

Through the door, an inherited socket, comes one line (a socket as well) for each kernel that is wanted. On the line the
kernel reads its arguments, environment and folder as one line of JSON, and answers with its process's number.
It has no threads when it forks, for a fork takes only the one that forks along.
"""

from __future__ import annotations

import contextlib
import ctypes
import gc
import json
import os
import signal
import socket
import sys
import threading

from suspension_lab.cli.serving import THREADS


def load() -> None:
    """Load what a lesson needs, run it once, and let no thread be left."""
    os.environ["JPY_PARENT_PID"] = str(os.getpid())  # read when ipykernel is loaded: a kernel ends with its parent
    import ipykernel.ipkernel
    import ipykernel.kernelapp
    import ipykernel.zmqshell  # noqa: F401

    import suspension_lab.lab.preload  # noqa: F401

    for thread in threading.enumerate():
        if thread is not threading.current_thread():
            thread.join()
    gc.collect()
    with contextlib.suppress(AttributeError):  # not every system's C library has it
        ctypes.CDLL(None).malloc_trim(0)  # what loading no longer needs would be in every kernel
    gc.freeze()  # so that a child's collector does not write to pages that it shares


def serve(door: socket.socket) -> None:
    """Fork a kernel for each line that comes through the door, until the other side has gone."""
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for children here: the system clears them away
    while True:
        said, lines, *_ = socket.recv_fds(door, 1, 1)
        if not said:
            return
        if os.fork() == 0:
            door.close()
            be_kernel(socket.socket(fileno=lines[0]))
        os.close(lines[0])


def be_kernel(line: socket.socket) -> None:
    """Become the kernel that the line asks for; never comes back."""
    code = 1
    try:
        os.setsid()
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        told = json.loads(line.makefile("rb").readline())
        os.environ.clear()
        os.environ.update(told["env"] | THREADS)
        os.chdir(told["cwd"])
        sys.path.insert(0, "")
        line.sendall(str(os.getpid()).encode())
        from ipykernel.kernelapp import IPKernelApp

        # It would warn of each connection on this very machine.
        IPKernelApp.launch_instance(argv=[*told["arguments"], "--IPKernelApp.log_level=ERROR"])
        code = 0
    except SystemExit as ended:
        code = ended.code if isinstance(ended.code, int) else 1
    finally:
        os._exit(code)


if __name__ == "__main__":
    os.environ.update(THREADS)
    load()
    serve(socket.socket(fileno=int(sys.argv[1])))
