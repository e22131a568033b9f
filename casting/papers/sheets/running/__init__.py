"""Papers of the day itself: what the kiln did, how pieces come off their button, who collects what."""
