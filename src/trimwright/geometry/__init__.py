"""Shapes of what is cut: plain lengths in, flat pieces out. Nothing here knows a job."""
