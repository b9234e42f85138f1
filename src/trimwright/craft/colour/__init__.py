"""Colour: readings and their trust, the difference a person sees, mixes of the shop's own base colours."""
