-- Quotes, their revisions, and the log of changes that accounting pulls from.

create table counters (
    name text primary key,
    value bigint not null
);

-- The folded texts are what a search looks in: the two databases do not agree on upper and lower case.
create table quotes (
    id uuid primary key,
    number text not null unique,
    customer text not null,
    customer_folded text not null,
    project text not null,
    project_folded text not null,
    created_at bigint not null,
    current_revision bigint not null,
    version bigint not null
);

create table quote_revisions (
    quote_id uuid not null references quotes (id),
    revision bigint not null check (revision > 0),
    state text not null check (
        state in ('draft', 'issued', 'accepted', 'declined', 'withdrawn', 'expired', 'superseded')),
    frozen text not null,
    currency text not null,
    net text not null,
    tax text not null,
    gross text not null,
    heads text not null,
    valid_until text collate "C",
    issued_on text collate "C",
    accepted_on text collate "C",
    accepted_by text,
    po_number text,
    reason text,
    price_list_id uuid references price_lists (id),
    labour_model_id uuid references labour_models (id),
    created_at bigint not null,
    changed_at bigint not null,
    primary key (quote_id, revision)
);

create index quote_revisions_by_state on quote_revisions (state, valid_until);

create table quote_changes (
    seq bigint primary key,
    quote_id uuid not null,
    number text not null,
    revision bigint not null,
    state text not null,
    customer text not null,
    project text not null,
    currency text not null,
    net text not null,
    tax text not null,
    gross text not null,
    issued_on text collate "C",
    accepted_on text collate "C",
    po_number text,
    heads text not null,
    at bigint not null,
    foreign key (quote_id, revision) references quote_revisions (quote_id, revision)
);

create index quote_changes_of_revision on quote_changes (quote_id, revision, seq);
create index quote_changes_by_instant on quote_changes (at, seq);

-- Nothing issued ever changes. The program keeps to this; here it is kept from anybody with a database shell, too.
create function refuse_change() returns trigger language plpgsql as $$
begin
    raise exception '%', tg_argv[0] using errcode = 'check_violation';
end
$$;

create trigger issued_revision_is_frozen
before update of quote_id, revision, frozen, currency, net, tax, gross, heads, price_list_id, labour_model_id, created_at
on quote_revisions for each row when (old.state <> 'draft')
execute function refuse_change('an issued revision never changes');

create trigger issued_revision_is_no_draft
before update of state on quote_revisions
for each row when (old.state <> 'draft' and new.state = 'draft')
execute function refuse_change('an issued revision is never a draft again');

create trigger revision_stays
before delete on quote_revisions
for each row execute function refuse_change('a revision is never deleted');

create trigger quote_change_is_frozen
before update on quote_changes
for each row execute function refuse_change('a change in the log never changes');

create trigger quote_change_stays
before delete on quote_changes
for each row execute function refuse_change('a change in the log is never deleted');
