"""Being here puts this folder on the path, so that tests in every room can import the helpers beside it."""
