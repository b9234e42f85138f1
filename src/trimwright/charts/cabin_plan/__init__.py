"""The cabin plan: a drawing of our own of each body style's cabin, in which every surveyed part is a region."""

from trimwright.charts.cabin_plan.drawing import draw, key

__all__ = ["draw", "key"]
