"""gunicorn's configuration: .venv/bin/gunicorn -c python:crewlog.site.gunicorn crewlog.wsgi

Issuing a sheet takes a second or two of one processor, and writers wait for one another: workers do the work side by
side, threads hold those who wait, and the time-out is far above sixteen sheets issued at once.
"""

import os

bind = os.environ.get("CREWLOG_BIND", "127.0.0.1:8000")
workers = int(os.environ.get("CREWLOG_WORKERS", min(max(os.cpu_count() or 1, 2), 8)))
worker_class = "gthread"
threads = int(os.environ.get("CREWLOG_THREADS", 8))
timeout = 120
graceful_timeout = 90  # a sheet that is being issued is finished before a worker goes
keepalive = 5
max_requests = 2_000  # a worker is made anew now and then; not all at once
max_requests_jitter = 400
accesslog = None  # the site writes a line a request itself, without secrets in the address
errorlog = "-"
loglevel = "warning"
forwarded_allow_ips = os.environ.get("FORWARDED_ALLOW_IPS", "127.0.0.1,::1")
limit_request_line = 8_190
