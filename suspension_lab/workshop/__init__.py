"""What do I do at the vehicle? A run read in plain words, with the cautions that belong to it."""
