"""Running the day: what is noted at the kiln, the torch and the bench."""
