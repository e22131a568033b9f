"""The WSGI entry point for the web server."""

import gc
import os
import sys

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "school.settings")
application = get_wsgi_application()

from school.first_start import tell_the_way_in  # noqa: E402  # the rows are there once the application is

tell_the_way_in(sys.stdout)

# What is loaded now lives as long as the server; a request makes some ten thousand things and keeps none of them.
OFTEN_ENOUGH = 50_000
gc.collect()
gc.freeze()
gc.set_threshold(OFTEN_ENOUGH, 10, 10)
