-- What a shop puts in place of ours on its documents: logos and templates, by the digest of their content. Settings
-- and quotes name the digest, so that a file is kept once and for good.
create table shop_files (
    digest text primary key not null,
    media_type text not null,
    content blob not null,
    at integer not null
) strict;

create trigger shop_file_is_frozen
before update on shop_files
begin
    select raise(abort, 'a file that was put on documents never changes');
end;

create trigger shop_file_stays
before delete on shop_files
begin
    select raise(abort, 'a file that was put on documents is never deleted');
end;

-- SQLite runs no trigger for a row that another replaces.
create trigger shop_file_is_not_replaced
before insert on shop_files when exists (
    select 1 from shop_files where digest = new.digest and content <> new.content)
begin
    select raise(abort, 'a file that was put on documents is never replaced');
end;
