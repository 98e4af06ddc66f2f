-- The paper of an issued revision, kept when it is first printed; and the taxes of a total, each by its rate.

create table quote_papers (
    quote_id blob not null,
    revision integer not null,
    sha256 text not null,
    content blob not null,
    at integer not null,
    primary key (quote_id, revision),
    foreign key (quote_id, revision) references quote_revisions (quote_id, revision)
) strict;

create trigger quote_paper_is_frozen
before update on quote_papers
begin
    select raise(abort, 'a printed paper never changes');
end;

create trigger quote_paper_stays
before delete on quote_papers
begin
    select raise(abort, 'a printed paper is never deleted');
end;

-- SQLite runs no trigger for a row that another replaces. What is there already stays, without an error.
create trigger quote_paper_is_not_replaced
before insert on quote_papers
when exists (select 1 from quote_papers where quote_id = new.quote_id and revision = new.revision)
begin
    select raise(ignore);
end;

alter table quote_changes add column taxes text;
