"""What happens: the compiled kernel, one run, and the linear view."""
