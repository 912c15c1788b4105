"""Asks the web process of this container whether it is well; ends with 0 when it says so.

python yard/deploy/healthcheck.py
"""

import http.client
import os
import sys


def main() -> int:
    # The site answers to its own names only, and this is one of them.
    host = os.environ.get("ALLOWED_HOSTS", "localhost").split(",")[0].strip()
    connection = http.client.HTTPConnection("127.0.0.1", 8000, timeout=5)
    try:
        connection.request("GET", "/healthz", headers={"Host": host})
        return 0 if connection.getresponse().status == 200 else 1
    except OSError:
        return 1
    finally:
        connection.close()


if __name__ == "__main__":
    sys.exit(main())
