"""Numbers from the vehicle itself: by tape measure, by stopwatch or video, and by a phone's record."""
