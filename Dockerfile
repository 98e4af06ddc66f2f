# Built in one stage, run in another that holds the program and nothing else.
FROM rust:1.95-bookworm AS build
WORKDIR /src
COPY Cargo.toml Cargo.lock ./
COPY src src
COPY migrations migrations
RUN cargo build --release --locked

FROM debian:bookworm-slim
RUN useradd --system --uid 10001 --home-dir /var/lib/offtake --create-home offtake
COPY --from=build /src/target/release/offtake /usr/local/bin/offtake
USER offtake
WORKDIR /var/lib/offtake
ENV OFFTAKE_LISTEN=0.0.0.0:8080 \
    OFFTAKE_DATABASE_URL=sqlite:///var/lib/offtake/offtake.db \
    OFFTAKE_LOG_FORMAT=json
VOLUME /var/lib/offtake
EXPOSE 8080
STOPSIGNAL SIGTERM
ENTRYPOINT ["offtake"]
CMD ["serve"]
