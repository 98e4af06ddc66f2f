-- Rows as they were right after step 13.
insert into quotes (id, number, customer, customer_folded, project, project_folded, created_at, current_revision, version) values ({id 13}, 'Q-13', 'Brook Heating', 'brook heating', 'Mill', 'mill', 1764000000000000, 1, 1);
insert into quote_revisions (quote_id, revision, state, currency, net, tax, gross, heads, created_at, changed_at) values ({id 13}, 1, 'draft', 'USD', '90.00', '7.43', '97.43', '{}', 1764000004000000, 1764000004000000);
insert into quote_records (quote_id, revision, content) values ({id 13}, 1, '{"form": 2}');
