-- What a shop puts in place of ours on its documents: logos and templates, by the digest of their content. Settings
-- and quotes name the digest, so that a file is kept once and for good.
create table shop_files (
    digest text primary key,
    media_type text not null,
    content bytea not null,
    at bigint not null
);

create trigger shop_file_is_frozen
before update on shop_files
for each row execute function refuse_change('a file that was put on documents never changes');

create trigger shop_file_stays
before delete on shop_files
for each row execute function refuse_change('a file that was put on documents is never deleted');

-- Postgres runs no row trigger when a table is emptied whole.
create trigger shop_files_stay
before truncate on shop_files
for each statement execute function refuse_change('a file that was put on documents is never deleted');
