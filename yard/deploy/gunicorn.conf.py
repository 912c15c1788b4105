"""How gunicorn serves the site in production. WEB_CONCURRENCY sets the number of processes.

Plain processes without threads: writers wait for the database one at a time anyway, and a process that
meets trouble is replaced without taking others with it.
"""

bind = "0.0.0.0:8000"
worker_class = "sync"
# The proxy has a request whole before it comes here, so this is our own work alone (see the Caddyfile).
timeout = 60
graceful_timeout = 30
# A fresh process now and then, never all at once.
max_requests = 2000
max_requests_jitter = 400
worker_tmp_dir = "/dev/shm"  # noqa: S108 - a heartbeat file must not wait for a disk
# Requests are logged by the service itself, without the secret part of owners' links. An access log would have it.
accesslog = None
