-- Who did what when, for every change: a chain, in which each entry holds the hash of the one before it.

-- No reference to keys, links or what was changed: an entry stands by itself, whatever becomes of them.
create table audit_entries (
    number bigint primary key,
    at bigint not null,
    actor text not null,
    actor_id uuid,
    actor_label text not null,
    actor_scopes text not null,
    deed text not null,
    subject text not null,
    subject_id text not null,
    subject_version bigint,
    detail text not null,
    previous text not null,
    hash text not null
);

create index audit_entries_of_subject on audit_entries (subject_id, number);
create index audit_entries_of_actor on audit_entries (actor_id, number);

create trigger audit_entry_is_frozen
before update on audit_entries
for each row execute function refuse_change('what was done never changes');

create trigger audit_entry_stays
before delete on audit_entries
for each row execute function refuse_change('what was done is never deleted');

-- Postgres runs no row trigger when a table is emptied whole.
create trigger audit_entries_stay
before truncate on audit_entries
for each statement execute function refuse_change('what was done is never deleted');
