"""A photo as it comes from a camera or a phone, made into pixels; colours and outlines are both read from such."""

from __future__ import annotations

import io
from typing import Any

from trimwright.errors import BadInput, Problem

MOST_PIXELS = 120_000_000


def pixels_of(source: bytes, where: str) -> Any:
    """The pixels of a JPEG or PNG as BGR (h, w, 3), the right way up as the camera noted it.

    BadInput when it is none, is damaged or larger than any camera's.
    """
    import cv2
    import numpy as np
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(source)) as opened:  # reads the head alone: a huge picture is refused unpacked
            wide, high = opened.size
    except (UnidentifiedImageError, OSError, SyntaxError, Image.DecompressionBombError):
        raise BadInput(Problem(where, "", "is no picture that can be read.", "Give it as JPEG or PNG.")) from None
    if wide * high > MOST_PIXELS:
        raise BadInput(Problem(where, f"{wide} × {high}", "is larger than any camera's.", "Make it smaller."))
    pixels = cv2.imdecode(np.frombuffer(source, dtype=np.uint8), cv2.IMREAD_COLOR)
    if pixels is None:
        raise BadInput(Problem(where, "", "is cut off or damaged.", "Copy it from the camera again."))
    return pixels
