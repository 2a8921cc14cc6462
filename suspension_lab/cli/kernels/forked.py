"""Kernels forked from a process that has loaded the lab: there in no time, and sharing what they do not change.

A kernel that starts by itself loads for two seconds and holds 200 MB of its own; ten of them at the start of a lesson
keep a small machine busy for a while. Where the system cannot fork safely, kernels start by themselves as ever.
"""

from __future__ import annotations

import asyncio
import json
import os
import pathlib
import signal
import socket
import subprocess
import sys
from importlib.metadata import EntryPoint
from typing import Any

from jupyter_client.connect import KernelConnectionInfo
from jupyter_client.provisioning.factory import KernelProvisionerFactory
from jupyter_client.provisioning.local_provisioner import LocalProvisioner

from suspension_lab.cli.serving import FORKS

NAME = "suspension-lab-forked"
MODULE = "suspension_lab.cli.kernels.nursery"


def fork_kernels(*, at_once: bool = True) -> None:
    """Have the kernels that this process starts forked; on systems where a fork is not safe, nothing changes.

    Args:
        at_once: load the lab for them now, and not only when the first of them is wanted.
    """
    if not FORKS:
        return
    KernelProvisionerFactory.provisioners[NAME] = EntryPoint(
        NAME, f"{__name__}:ForkedKernel", KernelProvisionerFactory.GROUP_NAME
    )
    os.environ[KernelProvisionerFactory.default_provisioner_name_env] = NAME
    if at_once:
        Nursery.started()


class Nursery:
    """The process that kernels are forked from; it ends with this one."""

    _process: subprocess.Popen[bytes] | None = None
    _door: socket.socket

    @classmethod
    def started(cls) -> socket.socket:
        """The nursery's door, with one that has died replaced."""
        if cls._process is None or cls._process.poll() is not None:
            cls._door, inside = socket.socketpair()
            cls._process = subprocess.Popen(
                [sys.executable, "-m", MODULE, str(inside.fileno())], pass_fds=[inside.fileno()],
                stdin=subprocess.DEVNULL, start_new_session=True,
            )  # fmt: skip
            inside.close()
        return cls._door


class Forked:
    """A forked kernel as the server looks at it: what it needs of a `subprocess.Popen`.

    Its line to the kernel ends when the kernel does, however that comes about.
    """

    stdin = stdout = stderr = None

    def __init__(self, line: socket.socket, pid: int) -> None:
        self._line, self.pid = line, pid
        self.returncode: int | None = None

    def poll(self) -> int | None:
        """0 once the kernel has ended; None before."""
        if self.returncode is None:
            try:
                ended = not self._line.recv(1, socket.MSG_DONTWAIT)
            except BlockingIOError:
                ended = False
            except OSError:
                ended = True
            if ended:
                self._line.close()
                self.returncode = 0
        return self.returncode

    def wait(self) -> int | None:
        """As `poll`: only asked for once the kernel has ended."""
        return self.poll()

    def send_signal(self, number: int) -> None:
        """Send a signal, where there still is a kernel."""
        if self.poll() is None:
            os.kill(self.pid, number)

    def terminate(self) -> None:
        """Ask it to end."""
        self.send_signal(signal.SIGTERM)

    def kill(self) -> None:
        """End it."""
        self.send_signal(signal.SIGKILL)


class ForkedKernel(LocalProvisioner):
    """Starts a kernel by forking it."""

    async def launch_kernel(self, cmd: list[str], **named: Any) -> KernelConnectionInfo:
        """Start a kernel for a connection file.

        Args:
            cmd: the command that would start it; of it the arguments behind the module's name count.
            **named: of these `env` and `cwd` count.

        Returns:
            How to connect to it.
        """
        ours, theirs = socket.socketpair()
        ours.setblocking(False)
        with theirs:
            socket.send_fds(Nursery.started(), [b"k"], [theirs.fileno()])
        told = {"arguments": cmd[cmd.index("-f") :], "env": named["env"], "cwd": str(named.get("cwd") or os.getcwd())}
        loop = asyncio.get_running_loop()
        await loop.sock_sendall(ours, json.dumps(told).encode() + b"\n")
        answer = await loop.sock_recv(ours, 32)
        if not answer:
            raise RuntimeError("The kernel could not be forked.")
        kernel = Forked(ours, int(answer))
        self.process = kernel  # type: ignore[assignment]
        self.pid = self.pgid = kernel.pid
        self.cwd = pathlib.Path(told["cwd"])
        return self.connection_info
