-- What the shop's forming equipment can draw, every version kept: checks and quotes name the one they were made by.
create table forming_profiles (
    id text not null,
    version integer not null check (version > 0),
    name text not null,
    -- The limits as JSON, lengths in metres.
    body text not null,
    changed_at integer not null,
    primary key (id, version)
) strict;
