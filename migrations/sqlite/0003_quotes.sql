-- Quotes, their revisions, and the log of changes that accounting pulls from.

create table counters (
    name text primary key not null,
    value integer not null
) strict;

-- The folded texts are what a search looks in: the two databases do not agree on upper and lower case.
create table quotes (
    id blob primary key not null,
    number text not null unique,
    customer text not null,
    customer_folded text not null,
    project text not null,
    project_folded text not null,
    created_at integer not null,
    current_revision integer not null,
    version integer not null
) strict;

create table quote_revisions (
    quote_id blob not null references quotes (id),
    revision integer not null check (revision > 0),
    state text not null check (
        state in ('draft', 'issued', 'accepted', 'declined', 'withdrawn', 'expired', 'superseded')),
    frozen text not null,
    currency text not null,
    net text not null,
    tax text not null,
    gross text not null,
    heads text not null,
    valid_until text,
    issued_on text,
    accepted_on text,
    accepted_by text,
    po_number text,
    reason text,
    price_list_id blob references price_lists (id),
    labour_model_id blob references labour_models (id),
    created_at integer not null,
    changed_at integer not null,
    primary key (quote_id, revision)
) strict;

create index quote_revisions_by_state on quote_revisions (state, valid_until);

create table quote_changes (
    seq integer primary key,
    quote_id blob not null,
    number text not null,
    revision integer not null,
    state text not null,
    customer text not null,
    project text not null,
    currency text not null,
    net text not null,
    tax text not null,
    gross text not null,
    issued_on text,
    accepted_on text,
    po_number text,
    heads text not null,
    at integer not null,
    foreign key (quote_id, revision) references quote_revisions (quote_id, revision)
) strict;

create index quote_changes_of_revision on quote_changes (quote_id, revision, seq);
create index quote_changes_by_instant on quote_changes (at, seq);

-- Nothing issued ever changes. The program keeps to this; here it is kept from anybody with a database shell, too.
create trigger issued_revision_is_frozen
before update of quote_id, revision, frozen, currency, net, tax, gross, heads, price_list_id, labour_model_id, created_at
on quote_revisions when old.state <> 'draft'
begin
    select raise(abort, 'an issued revision never changes');
end;

create trigger issued_revision_is_no_draft
before update of state on quote_revisions when old.state <> 'draft' and new.state = 'draft'
begin
    select raise(abort, 'an issued revision is never a draft again');
end;

create trigger revision_stays
before delete on quote_revisions
begin
    select raise(abort, 'a revision is never deleted');
end;

create trigger quote_change_is_frozen
before update on quote_changes
begin
    select raise(abort, 'a change in the log never changes');
end;

create trigger quote_change_stays
before delete on quote_changes
begin
    select raise(abort, 'a change in the log is never deleted');
end;
