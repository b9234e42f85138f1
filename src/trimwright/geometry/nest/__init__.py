"""Nesting: pieces laid on hides with flaws, or along a roll, so that little is bought.

`asked` says what is to be laid and how it may be turned, `hide` what it is laid on, `layout` what came of it and the
exact check; `search` lays on hides, `roll` along a strip, `spare` tells the chance that one hide more is needed.
"""
