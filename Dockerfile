# syntax=docker/dockerfile:1
# One image for web, worker and beat; docker-compose.yml says which command each of them runs.

FROM python:3.11-slim-bookworm AS packages
WORKDIR /build
COPY pyproject.toml requirements.lock ./
# Only what the service needs to run, at the versions and with the hashes of the lock (which holds the tools of
# development as well). uv itself comes from the lock too.
RUN awk '/^uv==/ {on = 1} on {print} on && !/\\$/ {exit}' requirements.lock > uv.lock \
 && python -m pip install --no-cache-dir --quiet --require-hashes -r uv.lock \
 && python -m venv --without-pip /opt/faying \
 && uv pip install --no-cache --python /opt/faying/bin/python --compile-bytecode \
      --require-hashes --constraints requirements.lock -r pyproject.toml

FROM python:3.11-slim-bookworm
# Pango lays out the PDF reports; the font has every letter that European boat and owner names need.
RUN apt-get update \
 && apt-get install -y --no-install-recommends \
      fonts-dejavu-core libharfbuzz-subset0 libpango-1.0-0 libpangocairo-1.0-0 libpangoft2-1.0-0 \
 && rm -rf /var/lib/apt/lists/* \
 && useradd --uid 10001 --no-create-home --home-dir /srv/faying --shell /usr/sbin/nologin faying \
 && install -d -o faying -g faying /srv/faying/var
COPY --from=packages /opt/faying /opt/faying
COPY manage.py /srv/faying/
COPY yard /srv/faying/yard
COPY inspections /srv/faying/inspections
COPY workshop /srv/faying/workshop
COPY api /srv/faying/api
COPY web /srv/faying/web
COPY fixtures /srv/faying/fixtures
WORKDIR /srv/faying
ENV PATH=/opt/faying/bin:$PATH \
    PYTHONUNBUFFERED=1 \
    PYTHONDONTWRITEBYTECODE=1 \
    DJANGO_SETTINGS_MODULE=yard.settings \
    XDG_CACHE_HOME=/tmp/cache \
    FAYING_VAR=/srv/faying/var
USER faying
EXPOSE 8000
CMD ["gunicorn", "--config", "yard/deploy/gunicorn.conf.py", "yard.wsgi:application"]
