-- Rows as they were right after step 3.
insert into counters (name, value) values ('quote', 1);
insert into counters (name, value) values ('quote_change', 1);
insert into quotes (id, number, customer, customer_folded, project, project_folded, created_at, current_revision, version) values ({id 1}, 'Q-1', 'Brook Heating', 'brook heating', 'Mill', 'mill', 1764000000000000, 2, 3);
insert into quote_revisions (quote_id, revision, state, frozen, currency, net, tax, gross, heads, valid_until, issued_on, price_list_id, labour_model_id, created_at, changed_at) values ({id 1}, 1, 'issued', '{"format": 1}', 'USD', '100.00', '8.25', '108.25', '{}', '2026-06-30', '2026-05-31', {id 1}, {id 4}, 1764000000000000, 1764000003000000);
insert into quote_revisions (quote_id, revision, state, frozen, currency, net, tax, gross, heads, created_at, changed_at) values ({id 1}, 2, 'draft', '{"format": 1}', 'USD', '90.00', '7.43', '97.43', '{}', 1764000004000000, 1764000004000000);
insert into quote_changes (seq, quote_id, number, revision, state, customer, project, currency, net, tax, gross, issued_on, accepted_on, po_number, heads, at) values (1, {id 1}, 'Q-1', 1, 'issued', 'Brook Heating', 'Mill', 'USD', '100.00', '8.25', '108.25', '2026-05-31', null, null, '{}', 1764000003000000);
