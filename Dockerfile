# Built and tried by .ci/image. Debian's Python 3.13 and gcc 14.
FROM debian:trixie-slim AS build
ARG DEBIAN_FRONTEND=noninteractive
RUN apt-get update -qq \
 && apt-get install -y -qq --no-install-recommends python3 python3-venv python3-dev gcc libc6-dev ca-certificates
WORKDIR /src
COPY service/requirements.txt service/requirements.txt
# durable-rules comes as source and calls a function that Python 3.13 renamed; CFLAGS would not reach it, CC does.
# Every package is checked against its hash, except the build tools that pip fetches to build from source.
RUN python3 -m venv /opt/bondwright \
 && CC="cc -DPyEval_CallObject=PyObject_CallObject" \
    /opt/bondwright/bin/pip install --quiet --no-cache-dir --require-hashes -r service/requirements.txt
COPY pyproject.toml README.md LICENSE ./
COPY service service
COPY rules rules
RUN /opt/bondwright/bin/pip install --quiet --no-cache-dir --no-deps . \
 && /opt/bondwright/bin/pip uninstall --quiet --yes pip

FROM debian:trixie-slim
ARG DEBIAN_FRONTEND=noninteractive
RUN apt-get update -qq \
 && apt-get install -y -qq --no-install-recommends python3 \
 && rm -rf /var/lib/apt/lists/* \
 && useradd --no-log-init --uid 10001 --shell /usr/sbin/nologin --home-dir /var/lib/bondwright --create-home bondwright
COPY --from=build /opt/bondwright /opt/bondwright
ENV PATH=/opt/bondwright/bin:$PATH \
    PYTHONUNBUFFERED=1 \
    BONDWRIGHT_DATA=/var/lib/bondwright
USER 10001
VOLUME /var/lib/bondwright
EXPOSE 8000
HEALTHCHECK --interval=10s --timeout=2s --start-period=10s \
    CMD ["python3", "-c", "import urllib.request as u; u.urlopen('http://127.0.0.1:8000/livez', timeout=1)"]
CMD ["bondwright", "serve", "--host", "0.0.0.0", "--port", "8000"]
