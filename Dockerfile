# Built in two stages: what installs stays behind, what runs goes on.
FROM python:3.13-slim AS build
WORKDIR /srv
COPY requirements.lock .
RUN python -m venv --without-pip /venv \
    && python -m pip --python /venv/bin/python install --no-cache-dir --require-hashes -r requirements.lock
COPY api api
COPY domain domain
# Without compiled files a start takes three times as long, and the user below may not write any.
RUN /venv/bin/python -m compileall -q /venv api domain

FROM python:3.13-slim
RUN useradd --system --uid 10001 --no-create-home tinwright
WORKDIR /srv
COPY --from=build /venv /venv
COPY --from=build /srv/api api
COPY --from=build /srv/domain domain
COPY openapi-examples openapi-examples
ENV PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1
USER 10001
EXPOSE 8000
HEALTHCHECK --interval=30s --timeout=3s --start-period=10s \
    CMD ["/venv/bin/python", "-c", "import httpx; httpx.get('http://127.0.0.1:8000/healthz').raise_for_status()"]
# All addresses, since only those of the container are meant; so it starts with TINWRIGHT_KEYS_FILE, or with
# TINWRIGHT_ACCESS=open where nobody but its own network reaches it, and not without either.
CMD ["/venv/bin/python", "-m", "api", "--host", "0.0.0.0", "--port", "8000"]
