"""The code on a bag's label: which job and which bag, told, read back, and read off a picture.

The code is a QR code (ISO/IEC 18004); what it says is text of our own.
"""

from __future__ import annotations

MOST_PX = 1600
"""A picture's longer side is made no longer than this before it is read [px]: more finds nothing and takes seconds."""


def code_text(job_id: str, step: str) -> str:
    """What the code says.

    >>> code_text("harbour", "sill_plate.driver")
    'harbour/sill_plate.driver'
    """
    return f"{job_id}/{step}"


def bag_named(told: str, job_id: str) -> str | None:
    """The bag that a code names, by its step; None where it is none of this job's.

    >>> bag_named("harbour/sill_plate.driver", "harbour"), bag_named("quarry/sill_plate.driver", "harbour")
    ('sill_plate.driver', None)
    """
    job, slash, step = told.strip().partition("/")
    return step if slash and step and job == job_id else None


def read_picture(picture: bytes) -> str:
    """What the QR code in a picture (JPEG, PNG, WebP) says; "" where none can be read, or it is no picture."""
    import cv2
    import numpy as np

    if not picture:
        return ""
    seen = cv2.imdecode(np.frombuffer(picture, np.uint8), cv2.IMREAD_GRAYSCALE)
    if seen is None:
        return ""
    scale = min(1.0, MOST_PX / max(seen.shape))
    if scale < 1:
        seen = cv2.resize(seen, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    told, _corners, _straight = cv2.QRCodeDetector().detectAndDecode(seen)
    return str(told)
