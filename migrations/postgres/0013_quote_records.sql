-- What a revision froze stands in a table of its own: it is long, and a list of quotes, a total or a move of a
-- revision need not read or write it.

create table quote_records (
    quote_id uuid not null,
    revision bigint not null,
    content text not null,
    primary key (quote_id, revision),
    foreign key (quote_id, revision) references quote_revisions (quote_id, revision)
);

insert into quote_records (quote_id, revision, content)
select quote_id, revision, frozen from quote_revisions;

drop trigger issued_revision_is_frozen on quote_revisions;

alter table quote_revisions drop column frozen;

create trigger issued_revision_is_frozen
before update of quote_id, revision, currency, net, tax, gross, heads, price_list_id, labour_model_id, created_at
on quote_revisions for each row when (old.state <> 'draft')
execute function refuse_change('an issued revision never changes');

create function refuse_change_of_issued_record() returns trigger language plpgsql as $$
begin
    if exists (
        select 1 from quote_revisions r
        where r.quote_id = old.quote_id and r.revision = old.revision and r.state <> 'draft')
    then
        raise exception 'an issued revision never changes' using errcode = 'check_violation';
    end if;
    return new;
end
$$;

create trigger issued_record_is_frozen
before update on quote_records
for each row execute function refuse_change_of_issued_record();

create trigger record_stays
before delete on quote_records
for each row execute function refuse_change('a revision is never deleted');

-- Postgres runs no row trigger when a table is emptied whole.
create trigger records_stay
before truncate on quote_records
for each statement execute function refuse_change('a revision is never deleted');
