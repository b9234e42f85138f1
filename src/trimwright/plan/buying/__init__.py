"""The third stage: from verdicts to what is ordered where, what comes off the shelf and what is left over."""

from trimwright.plan.buying.list_file import as_csv, as_workbook, export
from trimwright.plan.buying.order import Buying, MaterialUse, Once, Order, Whole, how_known, is_own
from trimwright.plan.buying.shop import shop

__all__ = [
    "Buying",
    "MaterialUse",
    "Once",
    "Order",
    "Whole",
    "as_csv",
    "as_workbook",
    "export",
    "how_known",
    "is_own",
    "shop",
]
