-- Links that open one thing to whoever holds them. Only the hash of a token is kept.

-- What a link opens is its purpose; the program knows which there are, so that one more needs no step of its own.
-- No reference to api_keys: a key may be known to more than this database.
create table link_tokens (
    id blob primary key not null,
    hash text not null unique,
    purpose text not null,
    quote_id blob references quotes (id),
    revision integer,
    label text not null,
    made_by blob not null,
    created_at integer not null,
    expires_at integer not null,
    revoked_at integer,
    foreign key (quote_id, revision) references quote_revisions (quote_id, revision)
) strict;

create index link_tokens_of_quote on link_tokens (quote_id, id);

-- What was done with a link.
create table link_events (
    id blob primary key not null,
    link_id blob not null references link_tokens (id),
    what text not null,
    name text not null,
    detail text not null,
    at integer not null
) strict;

create index link_events_of_link on link_events (link_id, id);

create trigger link_event_is_frozen
before update on link_events
begin
    select raise(abort, 'what was done with a link never changes');
end;

create trigger link_event_stays
before delete on link_events
begin
    select raise(abort, 'what was done with a link is never deleted');
end;
