-- What the shop's forming equipment can draw, every version kept: checks and quotes name the one they were made by.
create table forming_profiles (
    -- Sorted by its bytes, as SQLite does.
    id text collate "C" not null,
    version bigint not null check (version > 0),
    name text not null,
    -- The limits as JSON, lengths in metres.
    body text not null,
    changed_at bigint not null,
    primary key (id, version)
);
