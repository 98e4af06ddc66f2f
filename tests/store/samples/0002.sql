-- Rows as they were right after step 2.
insert into shop_settings (version, body, changed_at) values (1, '{"name": "Rill Works"}', 1764000000000000);
insert into shop_settings (version, body, changed_at) values (2, '{"name": "Rill and Sons"}', 1764000001000000);
insert into price_lists (id, name, supplier, currency, state, effective_on, created_at, published_at, version) values ({id 1}, 'Spring', 'Meadow Metals', 'USD', 'published', '2026-03-01', 1764000000000000, 1764000002000000, 2);
insert into price_lists (id, name, supplier, currency, state, effective_on, created_at, published_at, version) values ({id 2}, 'Summer', 'Meadow Metals', 'USD', 'draft', '2026-05-01', 1764000000000000, null, 1);
insert into price_items (list_id, code, kind, text, unit, price, stick) values ({id 1}, 'b88-l-2', 'tube', 'Tube 2 in type L', 'ft', '12.3400', '20 ft');
insert into price_items (list_id, code, kind, text, unit, price, stick) values ({id 1}, 'BCuP-3', 'filler', 'Filler rod', 'lb', '98.10', null);
insert into labour_models (id, name, state, effective_on, source, created_at, published_at, version, body) values ({id 4}, 'Times', 'published', '2026-01-01', 'demo', 1764000000000000, 1764000002000000, 2, '{}');
insert into customers (id, name, body, version, created_at, changed_at) values ({id 5}, 'Brook Heating', '{}', 1, 1764000000000000, 1764000000000000);
