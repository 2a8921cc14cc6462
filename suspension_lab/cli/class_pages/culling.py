"""When a page's kernel is put away: soon where nobody looks at the page, later where it is only left alone."""

from __future__ import annotations

from jupyter_server.services.kernels.kernelmanager import AsyncMappingKernelManager
from traitlets import Int


class LessonKernels(AsyncMappingKernelManager):
    """Culls kernels as ever, but sooner those whose page is gone: a browser that broke down, a closed lid."""

    unwatched_timeout = Int(
        5 * 60, help="A kernel that no page is connected to is culled after so long idle [s]; 0: as any other."
    ).tag(config=True)

    async def cull_kernel_if_idle(self, kernel_id: str) -> None:
        """Cull it where it is idle for longer than its page may leave it."""
        usual = self.cull_idle_timeout
        if self.unwatched_timeout and not self._kernel_connections.get(kernel_id, 0):
            self.cull_idle_timeout = min(usual, self.unwatched_timeout)
        try:
            await super().cull_kernel_if_idle(kernel_id)  # type: ignore[no-untyped-call]
        finally:
            self.cull_idle_timeout = usual
