-- What a shop knows before it quotes: its settings, prices, times and customers.

-- Every version is kept: a quote can be explained by the settings that held when it was made.
create table shop_settings (
    version integer primary key check (version > 0),
    body text not null,
    changed_at integer not null
) strict;

create table price_lists (
    id blob primary key not null,
    name text not null,
    supplier text not null,
    currency text not null,
    state text not null check (state in ('draft', 'published')),
    effective_on text not null,
    created_at integer not null,
    published_at integer,
    version integer not null,
    check ((state = 'published') = (published_at is not null))
) strict;

create index price_lists_in_force on price_lists (state, effective_on);

create table price_items (
    list_id blob not null references price_lists (id),
    code text not null,
    kind text not null,
    text text not null,
    unit text not null,
    price text not null,
    stick text,
    primary key (list_id, code)
) strict;

create table labour_models (
    id blob primary key not null,
    name text not null,
    state text not null check (state in ('draft', 'published')),
    effective_on text not null,
    source text not null,
    created_at integer not null,
    published_at integer,
    version integer not null,
    body text not null,
    check ((state = 'published') = (published_at is not null))
) strict;

create index labour_models_in_force on labour_models (state, effective_on);

create table customers (
    id blob primary key not null,
    name text not null,
    body text not null,
    version integer not null,
    created_at integer not null,
    changed_at integer not null
) strict;
