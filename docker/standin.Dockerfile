# PostgreSQL, Redis or nginx from Debian's packages, for where their own images cannot be pulled:
# enough of each to try compose.scale.yaml, no more.
ARG BASE=debian:bookworm-slim
FROM ${BASE}
ARG PACKAGE
RUN apt-get update && apt-get install -y --no-install-recommends "$PACKAGE" \
    && rm -rf /var/lib/apt/lists/*
ENV PATH=/usr/lib/postgresql/15/bin:$PATH
COPY standin.sh /standin.sh
ENTRYPOINT ["/bin/sh", "/standin.sh"]
