-- Who may call, and the answers kept for requests that come twice.

create table api_keys (
    id blob primary key not null,
    label text not null,
    scopes text not null,
    hash text not null unique,
    created_at integer not null,
    revoked_at integer
) strict;

-- No reference to api_keys: keys are revoked, never deleted, and this table is emptied as it expires.
create table replays (
    key_id blob not null,
    operation text not null,
    idempotency_key text not null,
    claim_id blob not null,
    fingerprint text not null,
    state text not null check (state in ('running', 'done')),
    claimed_at integer not null,
    expires_at integer not null,
    status integer,
    headers text,
    body blob,
    primary key (key_id, operation, idempotency_key),
    check ((state = 'done') = (status is not null and headers is not null and body is not null))
) strict;

create index replays_expiring on replays (expires_at);
