"""What is done to a station: release and push by hand, and roads driven over."""
