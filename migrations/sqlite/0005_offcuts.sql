-- The offcut rack: each row is one length of tube that somebody can put a hand on.
create table offcuts (
    id blob primary key not null,
    tube text not null,
    temper text not null,
    -- In nanometres, in which both 1/64 in and 0.1 mm are whole.
    length_nm integer not null check (length_nm > 0),
    -- What is written on it.
    label text not null,
    state text not null check (state in ('available', 'reserved', 'taken')),
    -- The job it is reserved or taken for.
    job text,
    version integer not null check (version > 0),
    created_at integer not null,
    changed_at integer not null,
    check ((state = 'available') = (job is null))
) strict;

create index offcuts_on_the_rack on offcuts (tube, state, id);

-- What was done with each: a length that came back shorter was longer once.
create table offcut_moves (
    offcut_id blob not null references offcuts (id),
    version integer not null,
    made text not null check (made in ('add', 'reserve', 'take', 'return')),
    job text,
    length_nm integer not null,
    at integer not null,
    primary key (offcut_id, version)
) strict;
