"""The technician's page: how it is handed out. What it does is written in `web/static/web/tablet/`."""
