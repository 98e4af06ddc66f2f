-- The paper of an issued revision, kept when it is first printed; and the taxes of a total, each by its rate.

create table quote_papers (
    quote_id uuid not null,
    revision bigint not null,
    sha256 text not null,
    content bytea not null,
    at bigint not null,
    primary key (quote_id, revision),
    foreign key (quote_id, revision) references quote_revisions (quote_id, revision)
);

create trigger quote_paper_is_frozen
before update on quote_papers
for each row execute function refuse_change('a printed paper never changes');

create trigger quote_paper_stays
before delete on quote_papers
for each row execute function refuse_change('a printed paper is never deleted');

-- Postgres runs no row trigger when a table is emptied whole.
create trigger quote_papers_stay
before truncate on quote_papers
for each statement execute function refuse_change('a printed paper is never deleted');

alter table quote_changes add column taxes text;
