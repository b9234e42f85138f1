"""A photo a part is measured in: its pixels, and the lens it says it was taken with."""

from __future__ import annotations

import io
from dataclasses import dataclass
from math import hypot
from typing import Any

from trimwright.photo import pixels_of

FILM_DIAGONAL_MM = hypot(36, 24)
"""Of the 35 mm film that focal lengths are told by."""
FEW_MEGAPIXELS = 6.0
"""Any phone's camera has more; a photo with fewer was made smaller on its way."""
LEAST_FOCAL_35_MM, MOST_FOCAL_35_MM = 8.0, 400.0
"""Of lenses that see straight."""
_EXIF, _FOCAL_35 = 0x8769, 0xA405


@dataclass(frozen=True, eq=False, slots=True)
class Photo:
    """Pixels as BGR (h, w, 3), the right way up as the camera noted it; its focal length as on 35 mm film, or None."""

    pixels: Any
    focal_35_mm: float | None

    @property
    def size(self) -> tuple[int, int]:
        """Wide and high [px]."""
        return int(self.pixels.shape[1]), int(self.pixels.shape[0])

    @property
    def megapixels(self) -> float:
        return self.size[0] * self.size[1] / 1e6

    @property
    def more_pixels(self) -> str:
        """The advice to take it with more pixels, where there are few."""
        if self.megapixels >= FEW_MEGAPIXELS:
            return ""
        return f"take it with all the pixels the camera has, not {self.megapixels:.1f} million"


def read_photo(source: bytes, where: str) -> Photo:
    """A JPEG or PNG; BadInput as `pixels_of`."""
    return Photo(pixels_of(source, where), _focal_noted(source))


def _focal_noted(source: bytes) -> float | None:
    """The focal length that the camera noted, as on 35 mm film."""
    from PIL import Image

    with Image.open(io.BytesIO(source)) as opened:
        try:
            focal = opened.getexif().get_ifd(_EXIF).get(_FOCAL_35)
        except (OSError, SyntaxError, ValueError):  # the note is damaged, the picture is not
            return None
    return float(focal) if isinstance(focal, int) and focal > 0 else None


def focal_px(focal_35_mm: float, size: tuple[int, int]) -> float:
    """The focal length in pixels of a photo of that size, by the diagonal."""
    return focal_35_mm / FILM_DIAGONAL_MM * hypot(*size)
