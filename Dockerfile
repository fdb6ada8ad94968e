FROM python:3.11-slim

ENV PYTHONDONTWRITEBYTECODE=1 \
    PYTHONUNBUFFERED=1 \
    DATA_DIR=/data \
    HOST=0.0.0.0 \
    PORT=8000

RUN useradd --system --uid 10001 --home-dir /app practice \
    && mkdir /app /data \
    && chown practice /data

WORKDIR /app
COPY requirements.lock .
RUN python -m pip install --no-cache-dir --require-hashes -r requirements.lock
COPY . .

USER practice
VOLUME /data
EXPOSE 8000
CMD ["python", "manage.py", "web"]
