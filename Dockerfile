# TLS in front of the web servers (the service "proxy").
FROM caddy:2-alpine AS proxy
COPY shared/setup/Caddyfile /etc/caddy/Caddyfile

FROM python:3.11-slim

ENV PYTHONDONTWRITEBYTECODE=1 \
    PYTHONUNBUFFERED=1 \
    DATA_DIR=/data \
    HOST=0.0.0.0 \
    PORT=8000

# pg_dump for backups; it must not be older than the server.
RUN apt-get update \
    && apt-get install -y --no-install-recommends postgresql-client \
    && rm -rf /var/lib/apt/lists/*

RUN useradd --system --uid 10001 --home-dir /app practice \
    && mkdir /app /data \
    && chown practice /data

WORKDIR /app
COPY requirements-s3.lock .
RUN python -m pip install --no-cache-dir --require-hashes -r requirements-s3.lock
COPY . .

USER practice
VOLUME /data
EXPOSE 8000
CMD ["python", "manage.py", "web"]
