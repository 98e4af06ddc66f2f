-- Where notices of quote changes go, the notices, and how each fared.

-- The secret signs, so it is kept as it is; whoever reads the database could write quotes, too.
create table webhooks (
    id uuid primary key,
    url text not null,
    label text not null,
    kinds text not null,
    secret text not null,
    old_secret text,
    old_until bigint,
    disabled text,
    created_at bigint not null
);

-- Written in the transaction of the change it tells of.
create table notices (
    id uuid primary key,
    kind text not null,
    body text not null,
    created_at bigint not null
);

create table deliveries (
    notice_id uuid not null references notices (id),
    webhook_id uuid not null references webhooks (id),
    state text not null check (state in ('waiting', 'delivered', 'failed')),
    tries bigint not null,
    next_at bigint not null,
    primary key (notice_id, webhook_id)
);

create index deliveries_due on deliveries (state, next_at);
create index deliveries_of_webhook on deliveries (webhook_id, notice_id);

create table delivery_tries (
    id uuid primary key,
    notice_id uuid not null,
    webhook_id uuid not null,
    at bigint not null,
    status bigint,
    detail text not null,
    foreign key (notice_id, webhook_id) references deliveries (notice_id, webhook_id)
);

create index delivery_tries_of_delivery on delivery_tries (notice_id, webhook_id, at);
