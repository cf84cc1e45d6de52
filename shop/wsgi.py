"""What the web server calls."""

import os
from pathlib import Path

from django.core.wsgi import get_wsgi_application

from shop.environment import read_env_file

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
read_env_file(Path(__file__).resolve().parent.parent / ".env")
application = get_wsgi_application()
