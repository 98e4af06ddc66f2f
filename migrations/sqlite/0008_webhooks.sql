-- Where notices of quote changes go, the notices, and how each fared.

-- The secret signs, so it is kept as it is; whoever reads the database could write quotes, too.
create table webhooks (
    id blob primary key not null,
    url text not null,
    label text not null,
    kinds text not null,
    secret text not null,
    old_secret text,
    old_until integer,
    disabled text,
    created_at integer not null
) strict;

-- Written in the transaction of the change it tells of.
create table notices (
    id blob primary key not null,
    kind text not null,
    body text not null,
    created_at integer not null
) strict;

create table deliveries (
    notice_id blob not null references notices (id),
    webhook_id blob not null references webhooks (id),
    state text not null check (state in ('waiting', 'delivered', 'failed')),
    tries integer not null,
    next_at integer not null,
    primary key (notice_id, webhook_id)
) strict;

create index deliveries_due on deliveries (state, next_at);
create index deliveries_of_webhook on deliveries (webhook_id, notice_id);

create table delivery_tries (
    id blob primary key not null,
    notice_id blob not null,
    webhook_id blob not null,
    at integer not null,
    status integer,
    detail text not null,
    foreign key (notice_id, webhook_id) references deliveries (notice_id, webhook_id)
) strict;

create index delivery_tries_of_delivery on delivery_tries (notice_id, webhook_id, at);
