"""The WSGI entry point for the web server."""

import os
import sys

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "school.settings")
application = get_wsgi_application()

from school.first_start import tell_the_way_in  # noqa: E402  # the rows are there once the application is

tell_the_way_in(sys.stdout)
