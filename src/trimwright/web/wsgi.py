"""The WSGI application, for `trimwright serve` and for any other server."""

from __future__ import annotations

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "trimwright.web.settings")
application = get_wsgi_application()
