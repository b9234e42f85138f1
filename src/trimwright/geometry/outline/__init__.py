"""The outline of a panel from one photo of it among printed strips: as a pattern, with how far it may be out."""
