# The tag is for development. A release build passes the digest of the image that was tested:
#   docker build --build-arg PYTHON_IMAGE=python:3.13-slim@sha256:DIGEST .
ARG PYTHON_IMAGE=python:3.13-slim

# The first stage installs; only its results go into the image.
FROM ${PYTHON_IMAGE} AS build
WORKDIR /srv
COPY requirements.lock .
RUN python -m venv --without-pip /venv \
    && python -m pip --python /venv/bin/python install --no-cache-dir --require-hashes -r requirements.lock
COPY api api
COPY domain domain
# Compiled here, since the user below cannot write: without compiled files a start takes three times as long.
RUN /venv/bin/python -m compileall -q /venv api domain

FROM ${PYTHON_IMAGE}
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
    CMD ["/venv/bin/python", "-S", "-c", "from http.client import HTTPConnection as C; c = C('127.0.0.1', 8000, timeout=2); c.request('GET', '/healthz'); exit(c.getresponse().status != 200)"]
# The container's network decides who reaches the port. The service refuses to start on all addresses without
# TINWRIGHT_KEYS_FILE, or TINWRIGHT_ACCESS=open.
CMD ["/venv/bin/python", "-m", "api", "--host", "0.0.0.0", "--port", "8000"]
