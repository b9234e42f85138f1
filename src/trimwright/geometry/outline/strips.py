"""The four strips that lie round a part in a photo: a chessboard each, with markers in its white squares.

Their squares tell where a corner is to a quarter of a pixel, their markers which strip it is of. Coordinates on a strip
are mm from its lower left corner, x along it, y up, as it is read.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trimwright.errors import BadInput, Problem

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

STRIPS = "abcd"
ALONG, ACROSS = 11, 3
SQUARE_MM, MARKER_MM = 24.0, 18.0
LONG_MM, WIDE_MM = ALONG * SQUARE_MM, ACROSS * SQUARE_MM
DICTIONARY = "DICT_4X4_100"
MARKERS_EACH = ALONG * ACROSS // 2
FIRST_MARKER = 10
"""Lower numbers are those of the colour card, which may lie in the same photo."""
BAR_LONG_MM, BAR_SHORT_MM = 260.0, 190.0
"""The bars on a sheet of strips: along the strips, and across."""


def numbers(strip: str) -> range:
    """The markers of a strip."""
    first = FIRST_MARKER + MARKERS_EACH * STRIPS.index(strip)
    return range(first, first + MARKERS_EACH)


def board(strip: str) -> Any:
    """The strip as the library for markers knows it, y down."""
    import cv2
    import numpy as np

    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY))
    return cv2.aruco.CharucoBoard((ALONG, ACROSS), SQUARE_MM, MARKER_MM, dictionary, np.array(numbers(strip)))


def corners_mm() -> NDArray[np.float64]:
    """Where the inner corners lie on any strip, in the order of their numbers (20, 2)."""
    import numpy as np

    x, y = np.meshgrid(np.arange(1, ALONG) * SQUARE_MM, np.arange(1, ACROSS) * SQUARE_MM)
    return np.column_stack((x.ravel(), WIDE_MM - y.ravel()))


def named(text: str, where: str = "strips") -> tuple[str, ...]:
    """Strips by their letters, such as "a,b,d"; BadInput with what is none."""
    letters = [each for each in text.lower().replace(",", " ").split() if each]
    wrong = [each for each in letters if each not in STRIPS or len(each) != 1]
    if wrong or not letters:
        way_out = f"Give the letters printed on them, such as {','.join(STRIPS)}."
        raise BadInput(Problem(where, text, "names no strip.", way_out))
    return tuple(sorted(set(letters)))
