-- Links that open one thing to whoever holds them. Only the hash of a token is kept.

-- What a link opens is its purpose; the program knows which there are, so that one more needs no step of its own.
-- No reference to api_keys: a key may be known to more than this database.
create table link_tokens (
    id uuid primary key,
    hash text not null unique,
    purpose text not null,
    quote_id uuid references quotes (id),
    revision bigint,
    label text not null,
    made_by uuid not null,
    created_at bigint not null,
    expires_at bigint not null,
    revoked_at bigint,
    foreign key (quote_id, revision) references quote_revisions (quote_id, revision)
);

create index link_tokens_of_quote on link_tokens (quote_id, id);

-- What was done with a link.
create table link_events (
    id uuid primary key,
    link_id uuid not null references link_tokens (id),
    what text not null,
    name text not null,
    detail text not null,
    at bigint not null
);

create index link_events_of_link on link_events (link_id, id);

create trigger link_event_is_frozen
before update on link_events
for each row execute function refuse_change('what was done with a link never changes');

create trigger link_event_stays
before delete on link_events
for each row execute function refuse_change('what was done with a link is never deleted');
