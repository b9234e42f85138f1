"""Dates and times where Django's own formats are not what the shop writes."""
