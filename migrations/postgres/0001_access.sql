-- Who may call, and the answers kept for requests that come twice.

create table api_keys (
    id uuid primary key,
    label text not null,
    scopes text not null,
    hash text not null unique,
    created_at bigint not null,
    revoked_at bigint
);

-- No reference to api_keys: keys are revoked, never deleted, and this table is emptied as it expires.
create table replays (
    key_id uuid not null,
    operation text not null,
    idempotency_key text not null,
    claim_id uuid not null,
    fingerprint text not null,
    state text not null check (state in ('running', 'done')),
    claimed_at bigint not null,
    expires_at bigint not null,
    status bigint,
    headers text,
    body bytea,
    primary key (key_id, operation, idempotency_key),
    check ((state = 'done') = (status is not null and headers is not null and body is not null))
);

create index replays_expiring on replays (expires_at);
