"""Photos: every picture is drawn anew before it is kept, so that nothing but the picture comes in.

Kept is a JPEG of at most `LONGEST` pixels a side, the right way up, without the place, the time and whatever else
rode along, and a small one beside it. A photo's name is the sender's own id of the upload, so a retry finds it.
"""

from __future__ import annotations

import io
import os
import re
import shutil
from pathlib import Path
from typing import IO

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest
from django.utils.translation import gettext as _
from PIL import Image, ImageOps, UnidentifiedImageError

from trimwright.errors import BadInput, Problem
from trimwright.web.jobs import store
from trimwright.web.jobs.devices import Device, device_of
from trimwright.web.jobs.models import Photo

LONGEST = 2560
SMALL = 480
MAX_BYTES = 40_000_000
MAX_PIXELS = 80_000_000
"""More than phones make and less than it takes to fill the memory."""
FORMATS = ("JPEG", "PNG", "WEBP")
_PLAIN_INFO = frozenset({"jfif", "jfif_version", "jfif_unit", "jfif_density", "dpi", "progressive", "progression"})
"""What is told of a JPEG that carries nothing but its picture."""
NAME = re.compile(r"[a-z0-9][a-z0-9-]{7,39}")


def keep_photo(key: str, name: str, file: IO[bytes], *, part: str, by: Device) -> Photo:
    """Keep a photo under `name`; BadInput when it is no picture, too large, or the name is none.

    The files are on the disk before the row is.
    """
    if not NAME.fullmatch(name):
        raise _bad(name, _("is no name for a photo."), _("Reload the page and try again."))
    large, small, size = drawn_anew(file)
    path = photo_file(key, name)
    path.parent.mkdir(parents=True, exist_ok=True)
    if not path.exists():
        _write(photo_file(key, name, small=True), small)
        _write(path, large)
    return store.add_photo(key, name, part=part, size=size, length=len(large), by=by)


def photo_sent(request: HttpRequest, key: str, *, part: str) -> Photo:
    """Keep the photo that a form sent as `photo`, under the form's own id; BadInput when there is none, or no such."""
    sent = request.FILES.get("photo")
    if not isinstance(sent, UploadedFile) or sent.file is None:
        raise BadInput(Problem(_("photo"), "", _("is missing."), _("Choose a picture, or take one.")))
    if (sent.size or 0) > MAX_BYTES:
        what = _("is larger than %(most)s MB.") % {"most": MAX_BYTES // 1_000_000}
        raise BadInput(Problem(_("photo"), "", what, _("Set the camera to a smaller picture.")))
    return keep_photo(key, request.POST.get("edit_id", ""), sent.file, part=part, by=device_of(request))


def drawn_anew(file: IO[bytes]) -> tuple[bytes, bytes, tuple[int, int]]:
    """The picture as a JPEG, a small one, and the size of the large one [px]; BadInput when it is none."""
    try:
        with Image.open(file, formats=FORMATS) as found:
            _not_too_large(found.size)
            found.draft("RGB", (LONGEST, LONGEST))  # a JPEG is read no larger than needed
            picture = ImageOps.exif_transpose(found)
            picture.thumbnail((LONGEST, LONGEST))
            picture = _on_white(picture)
    except Image.DecompressionBombError:
        raise _too_large() from None
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, EOFError):
        what = _("is no picture that can be read.")
        raise _bad("", what, _("Send a JPEG, PNG or WebP, such as the camera makes.")) from None
    little = picture.copy()
    little.thumbnail((SMALL, SMALL))
    return _jpeg(picture, 85), _jpeg(little, 75), picture.size


def is_ours(data: bytes) -> tuple[int, int] | None:
    """The size [px] of a JPEG such as we make, with nothing beside the picture; None when it is anything else."""
    try:
        with Image.open(io.BytesIO(data), formats=("JPEG",)) as found:
            if max(found.size) > LONGEST or found.info.keys() - _PLAIN_INFO:
                return None
            found.load()
            return found.size
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError):
        return None


def photo_file(key: str, name: str, *, small: bool = False) -> Path:
    """Where a photo lies."""
    return Path(settings.PHOTOS) / key / f"{name}{'-small' if small else ''}.jpg"


def small_of(data: bytes) -> bytes:
    """The small one of a picture of ours."""
    with Image.open(io.BytesIO(data), formats=("JPEG",)) as picture:
        picture.thumbnail((SMALL, SMALL))
        return _jpeg(picture, 75)


def write_photo(key: str, name: str, large: bytes) -> None:
    """Write a picture of ours, and its small one."""
    photo_file(key, name).parent.mkdir(parents=True, exist_ok=True)
    _write(photo_file(key, name, small=True), small_of(large))
    _write(photo_file(key, name), large)


def drop(key: str) -> None:
    """Drop all photos of a job that was not kept after all, or is deleted."""
    shutil.rmtree(Path(settings.PHOTOS) / key, ignore_errors=True)


def _not_too_large(size: tuple[int, int]) -> None:
    if size[0] * size[1] > MAX_PIXELS:
        raise _too_large()


def _too_large() -> BadInput:
    what = _("has more than %(most)s million pixels.") % {"most": MAX_PIXELS // 1_000_000}
    return _bad("", what, _("Set the camera to a smaller picture."))


def _bad(value: str, what: str, way_out: str) -> BadInput:
    return BadInput(Problem(_("photo"), value, what, way_out))


def _on_white(picture: Image.Image) -> Image.Image:
    """Without transparency, which a JPEG has not."""
    if picture.mode == "RGB":
        return picture
    ground = Image.new("RGB", picture.size, "white")
    over = picture.convert("RGBA")
    ground.paste(over, mask=over.getchannel("A"))
    return ground


def _jpeg(picture: Image.Image, quality: int) -> bytes:
    into = io.BytesIO()
    # a fresh copy of the pixels: what was hung on the picture stays behind
    Image.frombytes("RGB", picture.size, picture.tobytes()).save(into, "JPEG", quality=quality, optimize=True)
    return into.getvalue()


def _write(path: Path, data: bytes) -> None:
    """On the disk whole, or not at all."""
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with beside.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
