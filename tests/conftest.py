"""Being here puts this folder on the path, so that tests in every room can import the helpers beside it."""

from suspension_lab.cli.kernels.forked import fork_kernels

# The notebooks' kernels are forked as `suspension-lab open` does it: each loads nothing, and is as empty as any.
fork_kernels(at_once=False)
