"""The service's own settings, with the bare views beside its own."""

from yard.settings import *  # noqa: F403

ROOT_URLCONF = "tests.bench.bare_urls"
