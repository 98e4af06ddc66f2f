-- Who did what when, for every change: a chain, in which each entry holds the hash of the one before it.

-- No reference to keys, links or what was changed: an entry stands by itself, whatever becomes of them.
create table audit_entries (
    number integer primary key,
    at integer not null,
    actor text not null,
    actor_id blob,
    actor_label text not null,
    actor_scopes text not null,
    deed text not null,
    subject text not null,
    subject_id text not null,
    subject_version integer,
    detail text not null,
    previous text not null,
    hash text not null
) strict;

create index audit_entries_of_subject on audit_entries (subject_id, number);
create index audit_entries_of_actor on audit_entries (actor_id, number);

create trigger audit_entry_is_frozen
before update on audit_entries
begin
    select raise(abort, 'what was done never changes');
end;

create trigger audit_entry_stays
before delete on audit_entries
begin
    select raise(abort, 'what was done is never deleted');
end;

-- SQLite runs no trigger for a row that another replaces.
create trigger audit_entry_is_not_replaced
before insert on audit_entries when exists (select 1 from audit_entries where number = new.number)
begin
    select raise(abort, 'what was done is never replaced');
end;
