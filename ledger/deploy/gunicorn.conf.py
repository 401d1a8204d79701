"""How the site is served: few processes with a few threads each, behind a web server or on the machine itself."""

import os

bind = os.environ.get("LEDGER_BIND", "127.0.0.1:8000")
workers = int(os.environ.get("LEDGER_WEB_PROCESSES", "2"))
worker_class = "gthread"
# The PostgreSQL pool of a process (LEDGER_DATABASE_POOL) must not be smaller than this.
threads = int(os.environ.get("LEDGER_WEB_THREADS", "4"))
timeout = 60
graceful_timeout = 20
# Who opened which page is nobody's business: no access log.
accesslog = None
errorlog = "-"
loglevel = "warning"
control_socket_disable = True
