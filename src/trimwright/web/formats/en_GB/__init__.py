"""Days first, the clock from 0 to 24."""
