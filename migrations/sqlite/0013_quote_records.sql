-- What a revision froze stands in a table of its own: it is long, and a list of quotes, a total or a move of a
-- revision need not read or write it.

create table quote_records (
    quote_id blob not null,
    revision integer not null,
    content text not null,
    primary key (quote_id, revision),
    foreign key (quote_id, revision) references quote_revisions (quote_id, revision)
) strict;

insert into quote_records (quote_id, revision, content)
select quote_id, revision, frozen from quote_revisions;

drop trigger issued_revision_is_frozen;

alter table quote_revisions drop column frozen;

create trigger issued_revision_is_frozen
before update of quote_id, revision, currency, net, tax, gross, heads, price_list_id, labour_model_id, created_at
on quote_revisions when old.state <> 'draft'
begin
    select raise(abort, 'an issued revision never changes');
end;

create trigger issued_record_is_frozen
before update on quote_records
when (select state from quote_revisions r where r.quote_id = old.quote_id and r.revision = old.revision) <> 'draft'
begin
    select raise(abort, 'an issued revision never changes');
end;

create trigger record_stays
before delete on quote_records
begin
    select raise(abort, 'a revision is never deleted');
end;

-- SQLite runs no trigger for a row that another replaces.
create trigger record_is_not_replaced
before insert on quote_records
when exists (select 1 from quote_records where quote_id = new.quote_id and revision = new.revision)
begin
    select raise(abort, 'a revision is never replaced');
end;
