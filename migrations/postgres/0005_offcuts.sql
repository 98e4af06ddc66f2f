-- The offcut rack: each row is one length of tube that somebody can put a hand on.
create table offcuts (
    id uuid primary key not null,
    tube text collate "C" not null,
    temper text not null,
    -- In nanometres, in which both 1/64 in and 0.1 mm are whole.
    length_nm bigint not null check (length_nm > 0),
    -- What is written on it.
    label text not null,
    state text not null check (state in ('available', 'reserved', 'taken')),
    -- The job it is reserved or taken for.
    job text,
    version bigint not null check (version > 0),
    created_at bigint not null,
    changed_at bigint not null,
    check ((state = 'available') = (job is null))
);

create index offcuts_on_the_rack on offcuts (tube, state, id);

-- What was done with each: a length that came back shorter was longer once.
create table offcut_moves (
    offcut_id uuid not null references offcuts (id),
    version bigint not null,
    made text not null check (made in ('add', 'reserve', 'take', 'return')),
    job text,
    length_nm bigint not null,
    at bigint not null,
    primary key (offcut_id, version)
);
