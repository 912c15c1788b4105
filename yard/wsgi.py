import gc
import os

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "yard.settings")
application = get_wsgi_application()

# What a process serves with stays as long as it lives: it is loaded now, and the collector leaves it alone. A page
# of three hundred boats makes thousands of small things that go again by themselves; the collector may look for
# rings among them less often.
_ = get_resolver().url_patterns
gc.collect()
gc.freeze()
gc.set_threshold(10_000, 20, 10)
