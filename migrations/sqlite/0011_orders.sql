-- What was ordered when a revision was accepted: the options that were taken with it, and what that comes to.

alter table quote_revisions add column ordered text;

-- An order never changes. The program keeps to this; here it is kept from anybody with a database shell, too.
create trigger order_is_frozen
before update of ordered on quote_revisions
when old.ordered is not null and new.ordered is not old.ordered
begin
    select raise(abort, 'what was ordered never changes');
end;
